// form: the details of the selected zone, in its row of the list. Every field edits at once; typing in one is one undo step.

class ZoneForm {
  #inputs = {}; // key -> {input, read(zone) -> value shown}

  constructor(app, zone) {
    Object.assign(this, { app, id: zone.id, signature: ZoneForm.signatureOf(zone) });
    this.root = el('div', { class: 'form' }, ...this.#fields(zone));
    this.show(zone);
  }

  /** A form fits a zone as long as this stays the same. */
  static signatureOf(zone) { return `${zone.kind} ${zone.shape} ${zone.points.length === 4}`; }

  show(zone) {
    for (const { input, read } of Object.values(this.#inputs)) {
      const value = read(zone);
      if (input.type === 'checkbox') input.checked = value;
      else if (input !== document.activeElement && input.value !== String(value)) input.value = value;
    }
    if (this.at) this.#fillAt(zone);
    if (this.swatchNote) this.#noteSwatch(zone);
  }

  focus(key) { (this.#inputs[key]?.input ?? this.root.querySelector('input, select'))?.focus(); }

  get #zone() { return this.app.zones.find(zone => zone.id === this.id); }

  #edit(key, changes) {
    const zone = { ...this.#zone, ...changes };
    this.app.commit(replaceZone(this.app.zones, zone), `${describe(zone)} changed`, `${key} ${this.id}`);
  }

  #add(key, title, input, read, hint) {
    this.#inputs[key] = { input, read };
    return field(key, title, input, hint);
  }

  #text(key, title, hint) {
    const input = el('input', { type: 'text', autocomplete: 'off', maxlength: '200', oninput: () => this.#edit(key, { [key]: input.value }) });
    return this.#add(key, title, input, zone => zone[key], hint);
  }

  #number(key, title, read, write, attributes = {}) {
    const input = el('input', { type: 'number', inputmode: 'decimal', step: 'any', ...attributes, oninput: () => this.#edit(key, write(input.value === '' ? NaN : Number(input.value), this.#zone)) });
    return this.#add(key, title, input, zone => (Number.isFinite(read(zone)) ? read(zone) : ''));
  }

  #fields(zone) {
    const own = { swatch: () => [this.#code(), this.#at()], card: () => this.#lab(), target: () => this.#target() }[zone.kind];
    return [
      ...(own ? own() : []),
      this.#name(zone), this.#kind(zone),
      isClient(zone) ? this.#onHead() : null,
      zone.kind === 'mid' || zone.grayFree ? this.#grayFree() : null,
      zone.shape === 'rect' ? this.#place() : null,
      el('div', { class: 'buttons' }, el('button', { type: 'button', onclick: () => this.#look() }, 'Look closer'))
    ];
  }

  #look() {
    this.app.view.show(bounds(this.#zone.points));
    this.app.changed();
  }

  #name(zone) {
    const input = el('input', { type: 'text', autocomplete: 'off', maxlength: '80', onfocus: () => { held = heldAt(this.app.zones, this.id); }, oninput: () => this.#rename(input.value, held) });
    let held = []; // as it was before the first letter: half a name may be another zone's
    if (isClient(zone)) input.placeholder = zone.kind;
    return this.#add('name', isClient(zone) ? 'Name' : 'Name (optional)', input, z => z.name);
  }

  #rename(name, held) {
    const zones = renameZone(this.app.zones, this.id, name, held);
    this.app.commit(zones, `${describe(zones.find(z => z.id === this.id))} renamed`, `name ${this.id}`);
  }

  #kind(zone) {
    const fits = kind => kind.id !== 'target' || zone.points.length === 4;
    const input = el('select', { onchange: () => this.app.commit(changeKind(this.app.zones, this.id, input.value), `kind of ${describe(this.#zone)} changed`) },
      ...KINDS.filter(fits).map(kind => el('option', { value: kind.id }, kind.title)));
    return this.#add('kind', 'Kind', input, z => z.kind);
  }

  #onHead() {
    const usual = { gray: 'side', root: 'crown' }[this.#zone.kind] ?? 'back';
    const input = el('select', { onchange: () => this.#edit('place', { place: input.value }) },
      el('option', { value: '' }, `as usual: ${usual}`), ...PLACES.map(place => el('option', { value: place }, place)));
    return this.#add('place', 'Where on the head', input, zone => zone.place ?? '');
  }

  #grayFree() {
    const input = el('input', { type: 'checkbox', onchange: () => this.#edit('gray-free', { grayFree: input.checked }) });
    this.#inputs.grayFree = { input, read: zone => Boolean(zone.grayFree) };
    input.dataset.field = 'grayFree';
    return el('label', { class: 'check' }, input, el('span', {}, 'No gray hair in this area'));
  }

  #code() {
    const { catalogue } = this.app.facts;
    const edit = code => this.#edit('code', { code });
    const input = el('input', { type: 'text', autocomplete: 'off', maxlength: '200' });
    const box = this.#add('code', 'Which swatch', input, zone => zone.code, catalogue ? 'Type the code or part of the name.' : 'The code in your catalogue, exactly as written there.');
    if (!catalogue) input.addEventListener('input', () => edit(input.value));
    else {
      const picker = new SwatchPicker(input, catalogue, edit);
      const holder = el('div', { class: 'picker' });
      input.before(holder);
      holder.append(input, picker.list);
      this.swatchNote = el('p', { class: 'picked' });
      box.append(this.swatchNote);
    }
    return box;
  }

  #noteSwatch(zone) {
    const swatch = this.app.facts.catalogue.find(s => s.code === zone.code);
    const chip = el('span', { class: 'chip', 'aria-hidden': 'true' });
    if (swatch) setChip(chip, [swatch.L, swatch.a, swatch.b]);
    this.swatchNote.replaceChildren(...(swatch ? [chip, `${swatch.name ? `${swatch.name}, ` : ''}${labText([swatch.L, swatch.a, swatch.b])}`] : []));
  }

  #at() {
    const input = el('select', { onchange: () => this.#edit('at', { at: input.value }) });
    this.at = input;
    return this.#add('at', 'Held at', input, zone => zone.at, 'The zone whose hair it touches.');
  }

  #fillAt(zone) {
    const names = this.app.zones.filter(isClient).map(zoneName);
    const choices = [...new Set([...names, ...(zone.at ? [zone.at] : [])])];
    this.at.replaceChildren(el('option', { value: '' }, 'not at a zone'),
      ...choices.map(name => el('option', { value: name }, names.includes(name) ? name : `${name} (not marked)`)));
    this.at.value = zone.at;
  }

  #lab() {
    const part = (index, title) => this.#number(`lab${index}`, title, zone => zone.lab[index], (value, zone) => ({ lab: zone.lab.map((v, i) => (i === index ? value : v)) }));
    return [
      el('p', { class: 'hint' }, 'The card’s own colour as its maker states it (CIELAB, D50). The usual 18 % gray card is 50, 0, 0.'),
      el('div', { class: 'row' }, part(0, 'L*'), part(1, 'a*'), part(2, 'b*'))];
  }

  #target() {
    const count = (key, title) => this.#number(key, title, zone => zone[key], value => ({ [key]: value }), { inputmode: 'numeric', step: '1', min: '2', max: '100' });
    const turnCorners = () => this.#edit('turn', { points: [...this.#zone.points.slice(1), this.#zone.points[0]] });
    return [
      this.#text('reference', 'Reference file', 'Its CGATS file, beside the zones file, for example target.txt.'),
      el('div', { class: 'row' }, count('rows', 'Rows'), count('columns', 'Columns')),
      el('p', { class: 'hint' }, 'The ring is the patch that the reference lists first; its row runs on to the next corner. The small boxes are what is measured.'),
      el('div', { class: 'buttons' }, el('button', { type: 'button', onclick: turnCorners }, 'Start at the next corner'))];
  }

  #place() {
    const { photo } = this.app;
    const part = (index, key, title, most) => this.#number(key, title, zone => rectOf(zone.points)[index],
      (value, zone) => (Number.isFinite(value) ? { points: rectPoints(rectOf(zone.points).map((v, i) => (i === index ? Math.round(value) : v))) } : {}), { inputmode: 'numeric', step: '1', min: index < 2 ? '0' : '1', max: String(most) });
    return el('div', { class: 'row' }, part(0, 'x', 'Left', photo.width), part(1, 'y', 'Top', photo.height), part(2, 'w', 'Width', photo.width), part(3, 'h', 'Height', photo.height));
  }
}
