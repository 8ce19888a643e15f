// What is chosen, in exact words: each of its fields can be typed; a side of the roof has its own kind and pitch.

import { wallNear } from "./things.js";

const HIDDEN = new Set(["outline", "points", "wing", "dormer", "courtyard", "opening", "side", "facets", "gable_sides", "pitches"]);
const CHOICES = {
  form: ["flat", "shed", "gable", "hip"],
  basis: ["ultimate", "allowable"],
  guard: ["none", "cover", "guardrail"],
  "dormer.kind": ["gable", "hip", "shed", "flat"],
  "courtyard.kind": ["hip", "wall"],
};
const SIDE_KINDS = ["", "hip", "gable", "half-hip", "shed", "wall"];
// Fields that a thing may have beside those it has, by its list.
const FURTHER = {
  roof: ["eave_height", "pitch", "overhang", "slide_friction"],
  "roof.wing": ["eave_height", "pitch", "overhang"],
  "roof.dormer": ["overhang"],
  "roof.opening": ["cover_capacity"],
  anchor: ["above", "on", "installed", "design_factor", "designed_by"],
  "site.obstacle": ["base"],
  "site.power_line": ["confirmed_dead_by"],
  area: [],
};

export class Panel {
  constructor(place, state, words) {
    Object.assign(this, { place, state, words });
    this.side = null;
    state.addEventListener("select", () => {
      this.side = null;
      this.draw();
    });
    state.addEventListener("change", () => this.follow());
    state.addEventListener("answer", () => this.tellFaults());
  }

  chooseSide(path, number) {
    this.side = { path, number };
    this.draw();
  }

  draw() {
    const { place, state, words } = this;
    const path = state.selected;
    place.replaceChildren();
    if (!path) {
      place.append(paragraph(words.nothing, "note"));
      return;
    }
    const table = state.get(path);
    if (!table) return;
    const list = path.replace(/\[\d+\]$/, "");
    const kind = list.split(".").at(-1);
    place.append(heading(`${words[kindOf(list)] ?? kind}${table.name ? `: ${table.name}` : ""}`));
    const keys = [...new Set([...Object.keys(table), ...(FURTHER[list] ?? [])])].filter((key) => !HIDDEN.has(key));
    for (const key of keys) place.append(this.field(path, key, table[key], CHOICES[`${kind}.${key}`] ?? CHOICES[key]));
    if (table.outline) place.append(this.corners(`${path}.outline`));
    else if (table.points) place.append(this.corners(`${path}.points`));
    else if (table.size && (path === "roof" || list === "roof.wing")) place.append(this.toOutline(path));
    if (path === "roof" || list === "roof.wing") place.append(...this.sides(path));
    if (list === "roof.dormer" && table.at && state.get("roof.eave_height")) place.append(this.button(words.onWall, () => this.putOnWall(path)));
    if (path !== "roof") place.append(this.button(words.remove, () => this.change(() => state.remove(path))));
    this.tellFaults();
  }

  // A point or size is a list of lengths; anything else is one field.
  field(path, key, value, choices) {
    const label = this.words[`field ${key}`] ?? key.replaceAll("_", " ");
    if (Array.isArray(value)) {
      const row = document.createElement("fieldset");
      row.append(Object.assign(document.createElement("legend"), { textContent: label }));
      value.forEach((one, number) => row.append(this.input(`${path}.${key}[${number}]`, `${label} ${number + 1}`, one, true)));
      row.className = "pair";
      return row;
    }
    if (typeof value === "boolean") return this.tick(`${path}.${key}`, label, value);
    if (choices) return this.choice(`${path}.${key}`, label, value, choices);
    return this.input(`${path}.${key}`, label, value ?? "", false);
  }

  input(path, label, value, isHidden) {
    const box = document.createElement("div");
    box.className = "field";
    const id = `p-${path.replace(/\W+/g, "-")}`;
    const named = Object.assign(document.createElement("label"), { htmlFor: id, textContent: label });
    if (isHidden) named.className = "hidden";
    const input = Object.assign(document.createElement("input"), { id, value: String(value), autocomplete: "off" });
    input.dataset.path = path;
    input.addEventListener("change", () => {
      const text = input.value.trim();
      const typed = typeof this.state.get(path) === "number" && /^-?\d+$/.test(text) ? Number(text) : text;
      this.change(() => this.state.set(path, text === "" ? undefined : typed));
    });
    box.append(named, input);
    return box;
  }

  tick(path, label, value) {
    const named = Object.assign(document.createElement("label"), { className: "tick" });
    const input = Object.assign(document.createElement("input"), { type: "checkbox", checked: value });
    input.addEventListener("change", () => this.change(() => this.state.set(path, input.checked)));
    named.append(input, ` ${label}`);
    return named;
  }

  choice(path, label, value, choices) {
    const box = document.createElement("div");
    box.className = "field";
    const id = `p-${path.replace(/\W+/g, "-")}`;
    const select = Object.assign(document.createElement("select"), { id });
    for (const one of choices) select.append(new Option(this.words[`is ${one}`] ?? one, one, false, one === value));
    if (!choices.includes(value)) select.value = choices[0];
    select.addEventListener("change", () => this.change(() => this.state.set(path, select.value)));
    box.append(Object.assign(document.createElement("label"), { htmlFor: id, textContent: label }), select);
    return box;
  }

  corners(list) {
    const isRun = list.endsWith(".points"), least = isRun ? 2 : 3;
    const box = Object.assign(document.createElement("details"), { open: isRun });
    box.append(Object.assign(document.createElement("summary"), { textContent: this.words.corners }));
    this.state.get(list).forEach((corner, number) => {
      const row = document.createElement("fieldset");
      row.className = "pair";
      row.append(Object.assign(document.createElement("legend"), { textContent: `${number + 1}` }));
      corner.forEach((one, axis) => row.append(this.input(`${list}[${number}][${axis}]`, `${number + 1} ${["x", "y", this.words["field height"]][axis]}`, one, true)));
      row.append(this.button(this.words.split, () => this.change(() => this.splitSide(list, number))));
      if (this.state.get(list).length > least) row.append(this.button(this.words.drop, () => this.change(() => this.dropCorner(list, number))));
      box.append(row);
    });
    return box;
  }

  // A corner in the middle of the side that begins at this one; what is told of later sides moves on with them.
  splitSide(list, number) {
    const ring = this.state.get(list);
    const isLast = list.endsWith(".points") && number === ring.length - 1; // of a line: on beyond its end
    const [a, b] = [number, isLast ? number - 1 : (number + 1) % ring.length].map((one) => this.state.point(`${list}[${one}]`));
    const share = isLast ? -0.5 : 0.5;
    const middle = [...[0, 1].map((axis) => this.state.text(a[axis] + share * (b[axis] - a[axis]))), ...ring[number].slice(2)];
    this.state.set(list, [...ring.slice(0, number + 1), middle, ...ring.slice(number + 1)]);
    this.renumber(list.replace(/\.outline$/, ""), (side) => (side > number + 1 ? side + 1 : side));
  }

  dropCorner(list, number) {
    const ring = this.state.get(list);
    this.state.set(list, ring.filter((_one, at) => at !== number));
    this.renumber(list.replace(/\.outline$/, ""), (side) => (side === number + 1 ? null : side > number + 1 ? side - 1 : side));
  }

  renumber(path, to) {
    const { state } = this;
    const sides = state.get(`${path}.side`);
    if (sides) state.set(`${path}.side`, sides.map((one) => ({ ...one, number: to(one.number) })).filter((one) => one.number !== null));
    const gables = state.get(`${path}.gable_sides`);
    if (gables) state.set(`${path}.gable_sides`, gables.map(to).filter((one) => one !== null));
  }

  // A dormer told by the wall that it stands over, so that it goes with that wall.
  putOnWall(path) {
    const { state } = this;
    const { at, ...table } = state.get(path);
    const wall = wallNear(state, state.point(`${path}.at`));
    if (wall) this.change(() => state.set(path, { ...table, ...wall }));
  }

  toOutline(path) {
    return this.button(this.words.toOutline, () =>
      this.change(() => {
        const { state } = this;
        const [x, y] = state.get(`${path}.corner`) ? state.point(`${path}.corner`) : [0, 0];
        const [w, d] = state.point(`${path}.size`);
        const ring = [[x, y], [x + w, y], [x + w, y + d], [x, y + d]].map((corner) => corner.map((v) => state.text(v)));
        state.set(`${path}.size`, undefined);
        if (state.get(`${path}.corner`)) state.set(`${path}.corner`, undefined);
        state.set(`${path}.outline`, ring);
      }),
    );
  }

  sides(path) {
    const count = this.state.get(`${path}.outline`)?.length ?? 4;
    const box = Object.assign(document.createElement("details"), { open: this.side?.path === path });
    box.append(Object.assign(document.createElement("summary"), { textContent: this.words.sides }));
    for (let number = 1; number <= count; number++) {
      const row = document.createElement("fieldset");
      row.className = `pair${this.side?.path === path && this.side.number === number ? " at-hand" : ""}`;
      row.append(Object.assign(document.createElement("legend"), { textContent: `${this.words.side} ${number}` }));
      const told = (this.state.get(`${path}.side`) ?? []).find((one) => one.number === number) ?? {};
      row.append(this.sideKind(path, number, told), this.sideField(path, number, told, "pitch"), this.sideField(path, number, told, "overhang"));
      if (told.kind === "half-hip") row.append(this.sideField(path, number, told, "hip_from"));
      box.append(row);
    }
    return [box];
  }

  sideKind(path, number, told) {
    const select = document.createElement("select");
    select.setAttribute("aria-label", `${this.words.side} ${number}: ${this.words.kind}`);
    for (const one of SIDE_KINDS) select.append(new Option(one ? (this.words[`is ${one}`] ?? one) : this.words.asForm, one, false, (told.kind ?? "") === one));
    select.addEventListener("change", () =>
      this.change(() => {
        const more = select.value === "half-hip" && !told.hip_from ? { hip_from: this.state.text(1) } : {};
        this.setSide(path, number, { kind: select.value || undefined, ...more });
      }),
    );
    return select;
  }

  sideField(path, number, told, key) {
    const label = this.words[`field ${key}`] ?? key.replaceAll("_", " ");
    const input = Object.assign(document.createElement("input"), { value: told[key] ?? "", placeholder: label, autocomplete: "off" });
    input.setAttribute("aria-label", `${this.words.side} ${number}: ${label}`);
    input.addEventListener("change", () => this.change(() => this.setSide(path, number, { [key]: input.value.trim() || undefined })));
    return input;
  }

  setSide(path, number, values) {
    const { state } = this;
    const rows = state.get(`${path}.side`) ?? [];
    const old = rows.find((one) => one.number === number) ?? { number };
    const made = Object.fromEntries(Object.entries({ ...old, ...values }).filter(([, value]) => value !== undefined));
    const others = rows.filter((one) => one.number !== number);
    const kept = Object.keys(made).length > 1 ? [...others, made] : others;
    const gables = state.get(`${path}.gable_sides`);
    if (values.kind !== undefined && gables?.includes(number)) {
      state.set(`${path}.gable_sides`, gables.filter((one) => one !== number));
    }
    state.set(`${path}.side`, kept.sort((a, b) => a.number - b.number));
    this.side = { path, number };
  }

  button(words, act) {
    const made = Object.assign(document.createElement("button"), { type: "button", textContent: words });
    made.addEventListener("click", act);
    return made;
  }

  change(act) {
    this.state.remember();
    act();
    this.state.changed();
    this.draw();
  }

  // Keep what stands in the fields with what is dragged, but leave the one that is being typed in alone.
  follow() {
    for (const input of this.place.querySelectorAll("input[data-path]")) {
      if (input === document.activeElement) continue;
      const value = this.state.get(input.dataset.path);
      if (value !== undefined) input.value = String(value);
    }
  }

  tellFaults() {
    this.place.querySelectorAll(".fault").forEach((one) => one.remove());
    for (const input of this.place.querySelectorAll("input[data-path]")) input.removeAttribute("aria-invalid");
    for (const fault of this.state.faults ?? []) {
      const input = this.place.querySelector(`input[data-path="${CSS.escape(fault.field)}"]`);
      if (!input) continue;
      input.setAttribute("aria-invalid", "true");
      input.after(paragraph(fault.expected, "fault"));
    }
  }
}

function kindOf(list) {
  return { "roof.wing": "wing", "roof.dormer": "dormer", "roof.opening": "opening", "roof.courtyard": "courtyard", "site.level": "level", "site.obstacle": "obstacle", "site.power_line": "power line", no_anchor: "no anchor" }[list] ?? list;
}

function heading(text) {
  return Object.assign(document.createElement("h2"), { textContent: text });
}

export function paragraph(text, kind = "") {
  return Object.assign(document.createElement("p"), { textContent: text, className: kind });
}
