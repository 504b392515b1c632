// history: undo and redo over whole states. States share what did not change, so each costs a few pointers.

export class History {
  #states = [{ zones: [], label: '' }];
  #at = 0;
  #key = null;

  /** What there is before the first step. */
  start(zones) { this.#states = [{ zones, label: '' }]; this.#at = 0; }

  get zones() { return this.#states[this.#at].zones; }
  get canUndo() { return this.#at > 0; }
  get canRedo() { return this.#at < this.#states.length - 1; }

  /** Edits in a row with the same key (typing in one field, pushing one zone) are one step. */
  commit(zones, label, key = null) {
    const joins = key !== null && key === this.#key && this.#at > 0;
    this.#states.length = joins ? this.#at : this.#at + 1;
    this.#states.push({ zones, label });
    this.#at = this.#states.length - 1;
    this.#key = key;
  }

  /** The label of the step taken back, or null. */
  undo() {
    this.#key = null;
    return this.canUndo ? this.#states[this.#at--].label : null;
  }

  redo() {
    this.#key = null;
    return this.canRedo ? this.#states[++this.#at].label : null;
  }
}
