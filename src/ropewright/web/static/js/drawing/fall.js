// One fall as a moving picture: seen from the side and from above, beside its height and force, to be scrubbed.

import { element, fill } from "./plan.js";

const W = 320, H = 220, EDGE = 34;

export class Fall {
  constructor(place, state, words) {
    Object.assign(this, { place, state, words });
    this.told = null;
    this.timer = 0;
    this.scrub = place.querySelector("input[type=range]");
    this.speed = place.querySelector("select");
    this.play = place.querySelector("button[data-play]");
    this.svg = Object.fromEntries([...place.querySelectorAll("svg[data-view]")].map((svg) => [svg.dataset.view, svg]));
    this.scrub.addEventListener("input", () => this.at(Number(this.scrub.value)));
    this.play.addEventListener("click", () => (this.timer ? this.stop() : this.start()));
    place.querySelector("button[data-close]").addEventListener("click", () => {
      this.stop();
      place.hidden = true;
    });
  }

  show(told) {
    this.told = told;
    this.stop();
    this.place.hidden = false;
    this.place.querySelector("[data-edge]").textContent = told.edge;
    this.place.querySelector("[data-met]").hidden = !told.met;
    this.scrub.max = told.time_s.at(-1);
    this.views();
    this.at(0);
    if (!matchMedia("(prefers-reduced-motion: reduce)").matches) this.start();
  }

  // Side view: along the level way from the edge point, and height; plan: x and y; curves: height and force in time.
  views() {
    const { time_s, place_m, force_n } = this.told;
    const [x0, y0, z0] = place_m[0];
    const out = place_m.map(([x, y]) => Math.hypot(x - x0, y - y0));
    const deep = place_m.map(([, , z]) => z);
    this.curves = {
      side: this.frame("side", out, deep, this.words.side_axes),
      above: this.frame("above", place_m.map((p) => p[0]), place_m.map((p) => p[1]), this.words.above_axes),
      height: this.frame("height", time_s, deep.map((z) => z - z0), this.words.height_axes, false),
      force: this.frame("force", time_s, force_n.map((n) => n / (this.state.units === "us" ? 4.4482216 : 1000)), this.words.force_axes, false),
    };
  }

  frame(name, xs, ys, words, isTrue = true) {
    const svg = this.svg[name];
    svg.setAttribute("viewBox", `0 0 ${W} ${H}`);
    let [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
    if (isTrue) { // the same scale both ways: a picture of a place
      const size = Math.max(right - left, ((high - low) * (W - 2 * EDGE)) / (H - 2 * EDGE), 0.5);
      [left, right] = [(left + right - size) / 2, (left + right + size) / 2];
      const tall = (size * (H - 2 * EDGE)) / (W - 2 * EDGE);
      [low, high] = [(low + high - tall) / 2, (low + high + tall) / 2];
    }
    if (high - low < 1e-6) high = low + 1;
    const to = (x, y) => [EDGE + ((x - left) / (right - left)) * (W - EDGE - 8), H - EDGE + 8 - ((y - low) / (high - low)) * (H - EDGE - 14)];
    const points = xs.map((x, number) => to(x, ys[number]).map((v) => v.toFixed(1)).join(",")).join(" ");
    const dot = element("circle", { r: 5, class: "body" });
    const [fx, fy] = [this.number(left, name, 0), this.number(right, name, 0)];
    fill(svg, [
      element("polyline", { class: "frame", points: `${EDGE},8 ${EDGE},${H - EDGE + 8} ${W - 8},${H - EDGE + 8}` }),
      element("polyline", { class: "way", points }),
      dot,
      element("text", { x: EDGE, y: H - 12, class: "axis" }, fx),
      element("text", { x: W - 8, y: H - 12, class: "axis", "text-anchor": "end" }, `${fy} ${words[0]}`),
      element("text", { x: EDGE - 4, y: 16, class: "axis", "text-anchor": "end" }, this.number(high, name, 1)),
      element("text", { x: EDGE - 4, y: H - EDGE + 8, class: "axis", "text-anchor": "end" }, this.number(low, name, 1)),
      element("text", { x: EDGE + 6, y: 18, class: "axis" }, words[1]),
    ]);
    return (number) => {
      const [x, y] = to(xs[number], ys[number]);
      dot.setAttribute("cx", x);
      dot.setAttribute("cy", y);
    };
  }

  number(value, name, axis) {
    const isLength = name === "side" || name === "above" || (name === "height" && axis === 1);
    const shown = isLength && this.state.units === "us" ? value / 0.3048 : value;
    return Math.abs(shown) >= 100 ? shown.toFixed(0) : shown.toFixed(1);
  }

  at(time) {
    const { time_s, phase, force_n, place_m, speed_m_s } = this.told;
    let number = time_s.findIndex((one) => one >= time);
    if (number < 0) number = time_s.length - 1;
    for (const move of Object.values(this.curves)) move(number);
    const drop = place_m[0][2] - place_m[number][2];
    const force = this.state.units === "us" ? `${Math.ceil(force_n[number] / 4.4482216)} lbf` : `${(Math.ceil(force_n[number] / 10) / 100).toFixed(2)} kN`;
    const speed = this.state.units === "us" ? `${(speed_m_s[number] / 0.3048).toFixed(1)} ft/s` : `${speed_m_s[number].toFixed(1)} m/s`;
    this.place.querySelector("[data-now]").textContent = `${time_s[number].toFixed(2)} s · ${this.words[phase[number]] ?? phase[number]} · ${this.words.down} ${this.state.shown(drop)} · ${speed} · ${force}`;
    this.time = time;
  }

  start() {
    if (!this.told) return;
    if (this.time >= Number(this.scrub.max)) this.time = 0;
    this.play.textContent = this.words.pause;
    let last = performance.now();
    const tick = (now) => {
      this.time += ((now - last) / 1000) * Number(this.speed.value);
      last = now;
      if (this.time >= Number(this.scrub.max)) {
        this.at(Number(this.scrub.max));
        this.scrub.value = this.scrub.max;
        this.stop();
        return;
      }
      this.scrub.value = this.time;
      this.at(this.time);
      this.timer = requestAnimationFrame(tick);
    };
    this.timer = requestAnimationFrame(tick);
  }

  stop() {
    cancelAnimationFrame(this.timer);
    this.timer = 0;
    this.play.textContent = this.words.play;
  }
}
