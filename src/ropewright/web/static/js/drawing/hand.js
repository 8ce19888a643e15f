// Taking hold: points and things are dragged by mouse, finger or arrow keys; the ground is panned, two fingers zoom.

import { along, squared } from "./geometry.js";
import { besidePoint, isFree, textBox } from "./labels.js";
import { element, fill } from "./plan.js";
import { things } from "./things.js";

const NEAR = 7; // pixels within which a point snaps to the line of another

export class Hand {
  constructor(plan, state, words) {
    Object.assign(this, { plan, state, words });
    this.fingers = new Map();
    this.doing = null;
    this.placing = null; // what the next tap sets down: a function of its place
    this.trace = null; // the outline that is being drawn corner by corner, if one is
    const { svg } = plan;
    svg.addEventListener("drawn", () => this.draw());
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    svg.addEventListener("pointerup", (event) => this.up(event));
    svg.addEventListener("pointercancel", (event) => this.up(event, true));
    // one finger on the ground scrolls the page; what is held, and two fingers, are the drawing's
    svg.addEventListener("touchmove", (event) => (event.touches.length > 1 || ["point", "thing"].includes(this.doing?.kind)) && event.preventDefault(), { passive: false });
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    svg.addEventListener("keydown", (event) => this.key(event));
    state.addEventListener("select", () => this.draw());
  }

  draw() {
    const { plan, state } = this;
    const focused = document.activeElement?.dataset?.key;
    this.things = things(state);
    const parts = [], dims = [];
    this.taken = this.things.filter((thing) => thing.shape === "point").map((thing) => textBox("o", ...plan.screen(thing.points[0].at)));
    for (const thing of this.things) if (thing.path === state.selected || thing.kind === "roof") dims.push(...this.lengths(thing));
    for (const thing of this.things) {
      const chosen = thing.path === state.selected;
      if (thing.shape === "ring" && thing.kind !== "opening") parts.push(this.body(thing, chosen));
      if (thing.shape === "run") parts.push(element("polyline", { class: `thing${chosen ? " chosen" : ""}`, points: plan.run(thing.ring), "data-thing": thing.path }));
      if (chosen || thing.shape === "point") thing.points.forEach((point, number) => parts.push(this.handle(thing, point, number, chosen)));
      else parts.push(this.grip(thing));
    }
    fill(plan.layers.handles, parts);
    fill(plan.layers.dims, dims);
    if (focused) plan.layers.handles.querySelector(`[data-key="${CSS.escape(focused)}"]`)?.focus({ preventScroll: true });
  }

  body(thing, chosen) {
    return element("path", { class: `thing${chosen ? " chosen" : ""}`, d: this.plan.path([thing.ring]), "data-thing": thing.path });
  }

  // One point that takes hold of a thing that isn't chosen yet, for the keyboard above all.
  grip(thing) {
    const at = thing.ring.reduce((sum, [x, y]) => [sum[0] + x / thing.ring.length, sum[1] + y / thing.ring.length], [0, 0]);
    return this.knob(thing, at, `${thing.path}|grip`, `${this.words[thing.kind] ?? thing.kind}: ${thing.name}`, "grip");
  }

  handle(thing, point, number, chosen) {
    const where = point.at.map((v) => this.state.shown(v)).join(", ");
    const label = `${this.words[thing.kind] ?? thing.kind}: ${thing.name} ${point.name}, ${where}`;
    return this.knob(thing, point.at, `${thing.path}|${number}`, label, `knob knob-${thing.kind.replace(/\W/g, "-")}${chosen ? " chosen" : ""}`);
  }

  knob(thing, at, key, label, kind) {
    const [x, y] = this.plan.screen(at);
    const made = element("g", { class: kind, tabindex: "0", role: "button", "aria-label": label, "data-key": key, transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})` });
    made.append(element("circle", { r: 16, class: "reach" }), element("circle", { r: 5.5, class: "dot" }));
    if (thing.shape === "point") {
      const { place, box } = besidePoint(thing.name, [x, y], this.taken);
      this.taken.push(box);
      made.append(element("text", { x: place[0], y: place[1], "text-anchor": place[2] }, thing.name));
    }
    return made;
  }

  lengths(thing) {
    const { plan, state } = this;
    const closed = thing.shape === "ring";
    if (thing.ring.length < 2) return [];
    return thing.ring.slice(0, closed ? undefined : -1).flatMap((a, number) => {
      const b = thing.ring[(number + 1) % thing.ring.length];
      const [ax, ay] = plan.screen(a), [bx, by] = plan.screen(b);
      const long = Math.hypot(bx - ax, by - ay);
      if (long < 46) return [];
      let turn = (Math.atan2(by - ay, bx - ax) * 180) / Math.PI;
      const inward = [(by - ay) / long, (ax - bx) / long]; // of a ring that runs counterclockwise
      const x = (ax + bx) / 2 + inward[0] * 14, y = (ay + by) / 2 + inward[1] * 14;
      if (turn > 90 || turn <= -90) turn += 180;
      const words = state.shown(Math.hypot(b[0] - a[0], b[1] - a[1]));
      const side = closed ? `${number + 1}: ` : "";
      const box = textBox(side + words, x, y, turn);
      if (!isFree(box, this.taken)) return [];
      this.taken.push(box);
      const text = element("text", { class: "dim", x, y, transform: `rotate(${turn} ${x} ${y})`, "data-side": `${thing.path}|${number + 1}` }, side + words);
      return [text];
    });
  }

  at(event) {
    const box = this.plan.svg.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  down(event) {
    const at = this.at(event);
    this.fingers.set(event.pointerId, at);
    this.plan.svg.setPointerCapture(event.pointerId);
    if (this.fingers.size === 2) {
      this.let();
      this.doing = { kind: "pinch", far: this.spread(), middle: this.between() };
      return;
    }
    if (this.placing || this.trace) {
      this.doing = { kind: "pan", last: at, moved: false };
      return;
    }
    const knob = event.target.closest("[data-key]");
    const body = event.target.closest("[data-thing]");
    if (knob) this.take(knob.dataset.key, at);
    else if (body && body.dataset.thing === this.state.selected && body.dataset.thing !== "roof") this.doing = { kind: "thing", thing: this.find(body.dataset.thing), from: this.plan.world(at), started: false };
    else this.doing = { kind: "pan", last: at, moved: false, body: body?.dataset.thing, side: event.target.dataset?.side };
  }

  take(key, at) {
    const [path, which] = key.split("|");
    this.state.select(path);
    this.plan.layers.handles.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus({ preventScroll: true });
    const thing = this.find(path);
    if (which === "grip") this.doing = { kind: "thing", thing, from: this.plan.world(at), started: false };
    else this.doing = { kind: "point", path, number: Number(which), started: false };
  }

  find(path) {
    return this.things.find((thing) => thing.path === path);
  }

  move(event) {
    const at = this.at(event);
    const before = this.fingers.get(event.pointerId);
    if (!before) {
      if (this.trace) this.trace.hover(this.plan.world(at));
      else this.plan.svg.dispatchEvent(new CustomEvent("hover", { detail: at }));
      return;
    }
    this.fingers.set(event.pointerId, at);
    const doing = this.doing;
    if (!doing) return;
    if (doing.kind === "pinch") return this.pinch(doing);
    if (doing.kind === "pan") {
      if (!doing.moved && Math.hypot(at[0] - doing.last[0], at[1] - doing.last[1]) < 4) return;
      doing.moved = true;
      this.plan.shift(at[0] - doing.last[0], at[1] - doing.last[1]);
      doing.last = at;
      return;
    }
    if (!doing.started && Math.hypot(at[0] - (doing.first ??= at)[0], at[1] - doing.first[1]) < 3) return;
    if (!doing.started) this.state.remember();
    doing.started = true;
    if (doing.kind === "point") this.drag(doing, this.plan.world(at), event.altKey);
    else this.carry(doing, this.plan.world(at));
  }

  drag(doing, to, free) {
    const thing = this.find(doing.path);
    const point = thing?.points[doing.number];
    if (!point) return;
    const { at, guides } = free ? { at: to, guides: [] } : (this.squared(thing, doing.number, to) ?? this.snapped(to, `${doing.path}|${doing.number}`));
    point.move(at);
    fill(this.plan.layers.guides, guides);
    this.state.changed();
  }

  carry(doing, to) {
    const step = this.state.grid;
    const by = [Math.round((to[0] - doing.from[0]) / step) * step, Math.round((to[1] - doing.from[1]) / step) * step];
    if (!by[0] && !by[1]) return;
    this.find(doing.thing.path)?.move?.(by);
    doing.from = [doing.from[0] + by[0], doing.from[1] + by[1]];
    this.state.changed();
  }

  // To a right angle with the sides beside it, on walls that run neither along x nor along y.
  squared(thing, number, to) {
    if (!thing.list) return null;
    const found = squared(to, thing.ring, number, thing.shape === "ring", NEAR / this.plan.scale);
    return found && { at: found.at, guides: found.lines.map(({ beside, u }) => this.plan.line("guide", along(beside, u, -1e3), along(beside, u, 1e3))) };
  }

  // To the line of another point where one is near, else to the grid.
  snapped([x, y], but = "") {
    const others = this.things.flatMap((thing) => thing.points.map((point, number) => ({ key: `${thing.path}|${number}`, at: point.at }))).filter((one) => one.key !== but);
    const near = NEAR / this.plan.scale, step = this.state.grid, guides = [];
    const snap = (value, axis) => {
      const found = others.map((one) => one.at).sort((a, b) => Math.abs(a[axis] - value) - Math.abs(b[axis] - value))[0];
      if (!found || Math.abs(found[axis] - value) > near) return Math.round(value / step) * step;
      const far = 1e3;
      const ends = axis === 0 ? [[found[0], y - far], [found[0], y + far]] : [[x - far, found[1]], [x + far, found[1]]];
      guides.push(this.plan.line("guide", ...ends));
      return found[axis];
    };
    return { at: [snap(x, 0), snap(y, 1)], guides };
  }

  up(event, isTaken = false) {
    this.fingers.delete(event.pointerId);
    const doing = this.doing;
    fill(this.plan.layers.guides, []);
    if (doing?.kind === "pan" && !doing.moved && !isTaken) this.tap(doing);
    if (doing?.started) this.plan.svg.dispatchEvent(new Event("dropped"));
    if (!this.fingers.size || doing?.kind !== "pinch") this.doing = null;
  }

  let() {
    if (this.doing?.started) this.plan.svg.dispatchEvent(new Event("dropped"));
    this.doing = null;
  }

  tap({ last, body, side }) {
    if (this.trace) return this.trace.tap(this.plan.world(last));
    if (this.placing) {
      const place = this.placing;
      this.placing = null;
      place(this.snapped(this.plan.world(last)).at, this.plan.world(last));
      return;
    }
    if (side) {
      const [path, number] = side.split("|");
      this.state.select(path);
      this.plan.svg.dispatchEvent(new CustomEvent("side", { detail: { path, number: Number(number) } }));
      return;
    }
    const edge = this.plan.nearest(last);
    if (edge) {
      this.plan.svg.dispatchEvent(new CustomEvent("edgepoint", { detail: edge.number }));
      return;
    }
    this.state.select(body ?? null);
  }

  spread() {
    const [a, b] = [...this.fingers.values()];
    return Math.hypot(a[0] - b[0], a[1] - b[1]);
  }

  between() {
    const [a, b] = [...this.fingers.values()];
    return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  }

  pinch(doing) {
    const far = this.spread(), middle = this.between();
    this.plan.shift(middle[0] - doing.middle[0], middle[1] - doing.middle[1]);
    this.plan.zoom(far / doing.far, middle);
    Object.assign(doing, { far, middle });
  }

  wheel(event) {
    event.preventDefault();
    this.plan.zoom(Math.exp(-event.deltaY * 0.0015), this.at(event));
  }

  // Arrow keys move what has the focus, finely with Alt, far with Shift; Delete takes it out.
  key(event) {
    const key = event.target.dataset?.key;
    if (!key) return;
    const [path, which] = key.split("|");
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      this.state.select(path);
      this.plan.svg.dispatchEvent(new Event("open"));
      return;
    }
    if (event.key === "Delete" && path !== "roof") {
      this.state.remember();
      this.state.remove(path);
      this.state.changed();
      return;
    }
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!way) return;
    event.preventDefault();
    const step = this.state.grid * (event.shiftKey ? 10 : event.altKey ? 0.2 : 2);
    const thing = this.find(path);
    this.state.select(path);
    this.state.remember();
    if (which === "grip") thing.move?.([way[0] * step, way[1] * step]);
    else {
      const { at, move } = this.find(path).points[Number(which)];
      move([at[0] + way[0] * step, at[1] + way[1] * step]);
    }
    this.state.changed();
    this.plan.svg.dispatchEvent(new Event("dropped"));
  }
}
