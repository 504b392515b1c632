// live: asking while she marks.

const REST_MS = 700; // without a change: then the whole answer is asked for

/** Asks while she marks: one question at a time, always about the latest marks; the answer before stays, dimmed, until the next is there. When
 *  she rests comes what can wait, then the whole answer. `state` goes asking, soon, whole. */
export class Live {
  #changed = false;
  #since = null; // when the first change was made that is not answered yet
  #working = null;
  #saving = false;
  #wake = null;

  /** ask(whole): whole, or soon; without `soon`, whole alone. aside(): resolves when what can wait a little is done. show(got, whole, latest): latest is false when something
   *  was changed since it was asked. */
  constructor({ ask, aside = async () => {}, show, state, soon = true }) { Object.assign(this, { ask, aside, show, state, soon }); }

  changed() {
    this.#changed = true;
    this.#since ??= performance.now();
    this.state('asking');
    this.#wake?.();
    this.#working ??= this.#work().finally(() => { this.#working = null; });
    return this.#working;
  }

  /** The whole answer to what stands now, asked at once and shown: what is saved. */
  async whole() {
    this.#saving = true;
    try { return await this.changed(); } finally { this.#saving = false; }
  }

  async #work() {
    for (;;) {
      if (this.soon && !this.#saving) {
        await this.#soon();
        if (!this.#changed) await this.aside();
        if (!this.#changed) await this.#rest();
        if (this.#changed && !this.#saving) continue;
      }
      this.#changed = false;
      const got = await this.ask(true);
      if (this.#changed) continue;
      this.#since = null;
      this.show(got, true, true);
      this.state('whole');
      return got;
    }
  }

  async #soon() {
    do {
      const since = this.#since;
      this.#changed = false;
      this.#since = null;
      const got = await this.ask(false);
      this.show(got, false, !this.#changed);
      if (since !== null && got?.report) performance.measure('answer', { start: since });
    } while (this.#changed && !this.#saving);
    if (!this.#changed) this.state('soon');
  }

  #rest() { return new Promise(done => { this.#wake = done; setTimeout(done, REST_MS); }); }
}
