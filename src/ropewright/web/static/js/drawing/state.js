// The job's tables as they are drawn: what was changed, and the way back. Lengths stand as text with their unit.

const FOOT = 0.3048;

export class State extends EventTarget {
  constructor(told) {
    super();
    this.job = told.job;
    this.version = told.version;
    this.units = told.units;
    this.now = { tables: told.tables, lengths: told.lengths, fields: {} };
    this.past = [];
    this.future = [];
    this.live = told.live;
    this.selected = null; // path of the thing that the hand is on
  }

  get isChanged() {
    return Object.keys(this.now.fields).length > 0;
  }

  // Text of a length, fine enough for a tape measure.
  text(metres) {
    if (this.units !== "us") return `${round(metres, 0.01).toFixed(2)} m`;
    return `${round(metres / FOOT, 0.01).toFixed(2)} ft`;
  }

  // What a person reads: feet and inches, or metres.
  shown(metres) {
    if (this.units !== "us") return `${metres.toFixed(2)} m`;
    const inches = Math.round((metres / FOOT) * 12);
    const sign = inches < 0 ? "-" : "";
    return `${sign}${Math.floor(Math.abs(inches) / 12)} ft ${Math.abs(inches) % 12} in`;
  }

  get grid() {
    return this.units === "us" ? FOOT / 4 : 0.05;
  }

  get(path) {
    return steps(path).reduce((place, step) => (place === undefined || place === null ? undefined : place[step]), this.now.tables);
  }

  metres(path) {
    return this.now.lengths[path];
  }

  point(path) {
    return [this.metres(`${path}[0]`), this.metres(`${path}[1]`)];
  }

  // Remember where we are, once for each doing: a drag of a hundred moves is one.
  remember() {
    this.past.push(structuredClone(this.now));
    if (this.past.length > 100) this.past.shift();
    this.future = [];
  }

  undo() {
    this._step(this.past, this.future);
  }

  redo() {
    this._step(this.future, this.past);
  }

  _step(from, to) {
    if (!from.length) return;
    to.push(structuredClone(this.now));
    this.now = from.pop();
    this.changed();
  }

  // Replace a value; what stood under the same path goes with it.
  set(path, value) {
    const way = steps(path);
    const last = way.pop();
    const place = way.reduce((inside, step) => (inside[step] ??= {}), this.now.tables);
    if (value === undefined) delete place[last];
    else place[last] = value;
    this._measure(path, value);
    this._note(path);
  }

  setPoint(path, [x, y]) {
    const there = this.get(path) ?? [];
    this.set(path, [this.text(x), this.text(y), ...there.slice(2)]);
  }

  // Put a table into a list, or take one out; the whole list is then sent.
  insert(list, table) {
    const rows = [...(this.get(list) ?? []), table];
    this.set(list, rows);
    return `${list}[${rows.length - 1}]`;
  }

  remove(path) {
    const match = /^(.*)\[(\d+)\]$/.exec(path);
    const rows = this.get(match[1]).filter((_row, number) => number !== Number(match[2]));
    this.set(match[1], rows);
    this.select(null);
  }

  _measure(path, value) {
    for (const known of Object.keys(this.now.lengths)) if (isUnder(known, path)) delete this.now.lengths[known];
    const walk = (at, one) => {
      if (Array.isArray(one)) one.forEach((inner, number) => walk(`${at}[${number}]`, inner));
      else if (one && typeof one === "object") Object.entries(one).forEach(([key, inner]) => walk(`${at}.${key}`, inner));
      else if (typeof one === "string") {
        const metres = readLength(one);
        if (metres !== null) this.now.lengths[at] = metres;
      }
    };
    walk(path, value);
  }

  _note(path) {
    const fields = this.now.fields;
    const whole = Object.keys(fields).find((known) => known !== path && isUnder(path, known));
    if (whole !== undefined) {
      fields[whole] = structuredClone(this.get(whole));
      return;
    }
    for (const known of Object.keys(fields)) if (isUnder(known, path)) delete fields[known];
    const value = this.get(path);
    if (value === undefined) this._noteTable(path);
    else fields[path] = structuredClone(value);
  }

  // A field that is taken out can't be sent alone: the table that held it is.
  _noteTable(path) {
    const table = path.replace(/(\.[^.[\]]+|\[\d+\])$/, "");
    this._note(table);
  }

  changed() {
    this.dispatchEvent(new Event("change"));
  }

  select(path) {
    if (path === this.selected) return;
    this.selected = path;
    this.dispatchEvent(new Event("select"));
  }
}

export function steps(path) {
  return [...path.matchAll(/([^.[\]]+)|\[(\d+)\]/g)].map(([, key, number]) => (number === undefined ? key : Number(number)));
}

function isUnder(path, above) {
  return path === above || path.startsWith(`${above}.`) || path.startsWith(`${above}[`);
}

function round(value, step) {
  return Math.round(value / step) * step;
}

// The plain forms that the drawing itself writes, and the commonest typed ones; the server reads all of them.
export function readLength(text) {
  const plain = text.trim();
  const feet = /^(-?)(\d+) ?(?:ft|')[ -]?(\d+(?:\.\d+)?) ?(?:in|")$/.exec(plain);
  if (feet) return (feet[1] ? -1 : 1) * (Number(feet[2]) + Number(feet[3]) / 12) * FOOT;
  const one = /^(-?[\d,]*\.?\d+) ?(mm|cm|m|ft|in)$/.exec(plain);
  if (!one) return null;
  const size = { mm: 0.001, cm: 0.01, m: 1, ft: FOOT, in: FOOT / 12 }[one[2]];
  return Number(one[1].replace(/,/g, "")) * size;
}
