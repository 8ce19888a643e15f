// An outline or a line from nothing, corner by corner: by tapping, or by telling each side's length and direction.

import { along, isInside, left, nextCorner, placeInside, turned, unit } from "./geometry.js";
import { element, fill } from "./plan.js";
import { readLength } from "./state.js";
import { newThing } from "./things.js";

const RUNS = new Set(["power line", "framing"]);
const CLOSE = 16; // pixels within which a tap on the first corner closes the outline

export class Trace {
  constructor(bar, plan, state, hand, words) {
    Object.assign(this, { bar, plan, state, hand, words });
    this.kind = null;
    this.ring = [];
    this.to = null;
    bar.addEventListener("submit", (event) => {
      event.preventDefault();
      this.tell();
    });
    this.button("back").addEventListener("click", () => this.back());
    this.button("close").addEventListener("click", () => this.close());
    this.button("leave").addEventListener("click", () => this.leave());
    document.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && this.kind) this.leave();
    });
    plan.svg.addEventListener("drawn", () => this.draw());
  }

  button(name) {
    return this.bar.querySelector(`button[data-trace="${name}"]`);
  }

  get isRun() {
    return RUNS.has(this.kind);
  }

  get least() {
    return this.isRun ? 2 : 3;
  }

  begin(kind) {
    this.kind = kind;
    this.ring = [];
    this.hand.trace = this;
    this.bar.hidden = false;
    this.plan.svg.classList.add("tracing"); // what is there already stands back
    this.state.select(null);
    this.show();
  }

  tap(at) {
    const first = this.ring[0] && this.plan.screen(this.ring[0]);
    const here = this.plan.screen(at);
    if (!this.isRun && this.ring.length >= 3 && Math.hypot(here[0] - first[0], here[1] - first[1]) < CLOSE) return this.close();
    const corner = this.next(at);
    const last = this.ring.at(-1);
    if (last && Math.hypot(corner[0] - last[0], corner[1] - last[1]) < 0.05) return;
    this.ring.push(corner);
    this.to = null;
    this.show();
  }

  hover(at) {
    this.to = at && this.ring.length ? this.next(at) : null;
    this.draw();
  }

  next(at) {
    return nextCorner(this.ring, at, this.state.grid, 10 / this.plan.scale);
  }

  // The side that was told in the bar; without a corner yet it begins in the middle of what is seen.
  tell() {
    const length = this.bar.querySelector("[data-trace-length]");
    const metres = readLength(length.value);
    const status = this.bar.querySelector("[data-trace-told]");
    if (metres === null || !(metres > 0)) {
      status.textContent = this.words.noLength;
      length.setAttribute("aria-invalid", "true");
      length.focus();
      return;
    }
    length.removeAttribute("aria-invalid");
    if (!this.ring.length) this.ring.push(this.next(this.plan.middle));
    const last = this.ring.at(-1);
    const before = (this.ring.length > 1 && unit(this.ring.at(-2), last)) || [1, 0];
    const ways = { right: [1, 0], up: [0, 1], left: [-1, 0], down: [0, -1], "turn-left": left(before), "turn-right": left(left(left(before))), on: before };
    this.ring.push(along(last, ways[this.bar.querySelector("[data-trace-way]").value], metres));
    this.show();
    length.select();
  }

  back() {
    this.ring.pop();
    this.show();
  }

  leave() {
    this.kind = null;
    this.ring = [];
    this.to = null;
    this.hand.trace = null;
    this.bar.hidden = true;
    this.plan.svg.classList.remove("tracing");
    this.draw();
  }

  close() {
    if (this.ring.length < this.least) return;
    const { kind, state } = this;
    const ring = !this.isRun && turned(this.ring) < 0 ? [this.ring[0], ...this.ring.slice(1).reverse()] : this.ring;
    this.leave();
    state.remember();
    const path = kind === "roof" ? this.newRoof(ring) : this.newThing(kind, ring);
    state.changed();
    state.select(path);
    this.plan.svg.dispatchEvent(new Event("dropped"));
  }

  newThing(kind, ring) {
    const { state } = this;
    const [list, { center, size, corner, points, at, ...table }] = newThing(state, kind, ring[0]);
    const height = points?.[0].slice(2) ?? [];
    const places = ring.map((place) => [...place.map((v) => state.text(v)), ...height]);
    return state.insert(list, { ...table, [RUNS.has(kind) ? "points" : "outline"]: places });
  }

  // A main part with this outline; what stood on the old one and has no place here is moved or taken out.
  newRoof(ring) {
    const { state } = this;
    const old = state.get("roof");
    const { eave_height, pitch, overhang, slide_friction } = old;
    const openings = (old.opening ?? []).filter((_one, number) => isInside(state.point(`roof.opening[${number}].center`), ring));
    const kept = Object.entries({ overhang, slide_friction, opening: openings.length ? openings : undefined }).filter(([, value]) => value !== undefined);
    const form = ["gable", "hip", "flat"].includes(old.form) ? old.form : "hip";
    const outline = ring.map((place) => place.map((v) => state.text(v)));
    const slope = form === "flat" ? {} : { pitch: pitch ?? "35 deg" };
    for (const list of ["area", "no_anchor", "framing"]) this.keepInside(list, ring);
    state.set("roof", { form, outline, eave_height: eave_height ?? state.text(3), ...slope, ...Object.fromEntries(kept) });
    (state.get("anchor") ?? []).forEach((_one, number) => {
      const path = `anchor[${number}].at`;
      if (!isInside(state.point(path), ring)) state.setPoint(path, placeInside(ring));
    });
    return "roof";
  }

  keepInside(list, ring) {
    const { state } = this;
    const rows = state.get(list);
    if (!rows) return;
    const kept = rows.filter((row, number) => {
      const path = `${list}[${number}]`;
      const places = row.center ? [`${path}.center`] : ["outline", "points"].flatMap((key) => (row[key] ?? []).map((_one, corner) => `${path}.${key}[${corner}]`));
      return places.every((place) => isInside(state.point(place), ring));
    });
    if (kept.length < rows.length) state.set(list, kept);
  }

  show() {
    const { words, ring } = this;
    const told = ring.length < this.least ? words.traceNext : this.isRun ? words.traceEnd : words.traceClose;
    this.bar.querySelector("[data-trace-told]").textContent = `${words[this.kind] ?? this.kind}: ${ring.length} · ${told}`;
    this.button("close").disabled = ring.length < this.least;
    this.button("back").disabled = !ring.length;
    this.draw();
  }

  draw() {
    const { plan, ring, to } = this;
    if (!this.kind) {
      fill(plan.layers.trace, []);
      return;
    }
    const way = to ? [...ring, to] : ring;
    const dots = ring.map((place, number) => {
      const [cx, cy] = plan.screen(place);
      return element("circle", { class: `trace-dot${number ? "" : " trace-first"}`, cx, cy, r: number ? 4 : 8 });
    });
    const lengths = way.slice(1).map((b, number) => {
      const a = way[number];
      const [x, y] = plan.screen([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
      return element("text", { class: "dim", x, y: y - 10 }, this.state.shown(Math.hypot(b[0] - a[0], b[1] - a[1])));
    });
    fill(plan.layers.trace, [element("polyline", { class: "trace", points: plan.run(way) }), ...dots, ...lengths]);
  }
}
