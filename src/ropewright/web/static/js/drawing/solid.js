// The roof in space, with lines and falls: turned by finger, mouse or arrow keys. Facets are painted far to near.

import { VERDICTS } from "./plan.js";

export class Solid {
  constructor(canvas, state, plan) {
    Object.assign(this, { canvas, state, plan });
    this.turn = -0.7;
    this.tilt = 0.6;
    this.fall = null;
    this.asked = false;
    this.frames = [];
    canvas.addEventListener("pointerdown", (event) => {
      this.last = [event.clientX, event.clientY];
      canvas.setPointerCapture(event.pointerId);
    });
    canvas.addEventListener("pointermove", (event) => {
      if (!this.last) return;
      this.spin(-(event.clientX - this.last[0]) * 0.008, (event.clientY - this.last[1]) * 0.006);
      this.last = [event.clientX, event.clientY];
    });
    canvas.addEventListener("pointerup", () => (this.last = null));
    canvas.addEventListener("keydown", (event) => {
      const way = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, 0.08], ArrowDown: [0, -0.08] }[event.key];
      if (!way) return;
      event.preventDefault();
      this.spin(...way);
    });
    new ResizeObserver(() => this.soon()).observe(canvas);
  }

  spin(turn, tilt) {
    this.turn += turn;
    this.tilt = Math.min(Math.max(this.tilt + tilt, 0.08), 1.5);
    this.soon();
  }

  // Once a frame, however often it is asked for; never while it is not in sight.
  soon() {
    if (this.asked || this.canvas.hidden || !this.canvas.isConnected) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      const start = performance.now();
      this.draw();
      this.frames.push(performance.now() - start);
      if (this.frames.length > 200) this.frames.shift();
    });
  }

  draw() {
    const { canvas, state } = this;
    const box = canvas.getBoundingClientRect();
    if (!box.width) return;
    const sharp = devicePixelRatio || 1;
    canvas.width = box.width * sharp;
    canvas.height = box.height * sharp;
    const pen = canvas.getContext("2d");
    pen.scale(sharp, sharp);
    const style = getComputedStyle(canvas);
    const ink = style.color;
    const facets = state.live.roof.facets;
    const corners = facets.flatMap((facet) => facet.ring);
    if (!corners.length) return;
    const middle = [0, 1, 2].map((axis) => (Math.min(...corners.map((c) => c[axis])) + Math.max(...corners.map((c) => c[axis]))) / 2);
    const size = Math.max(...corners.map((c) => Math.hypot(c[0] - middle[0], c[1] - middle[1])), 1);
    const scale = Math.min(box.width / (2.3 * size), box.height / (1.9 * size));
    const [sin, cos] = [Math.sin(this.turn), Math.cos(this.turn)], [rise, lie] = [Math.cos(this.tilt), Math.sin(this.tilt)];
    const eye = ([x, y, z]) => {
      const [dx, dy, dz] = [x - middle[0], y - middle[1], (z ?? 0) - middle[2]];
      const across = dx * cos - dy * sin, away = dx * sin + dy * cos;
      return [box.width / 2 + across * scale, box.height / 2 - (away * lie + dz * rise) * scale, away * rise - dz * lie];
    };
    const shades = facets
      .map((facet) => {
        const ring = facet.ring.map(eye);
        const far = ring.reduce((sum, point) => sum + point[2], 0) / ring.length;
        const light = 0.5 + 0.5 * Math.cos(((facet.azimuth_deg - 315) * Math.PI) / 180) * Math.sin((facet.pitch_deg * Math.PI) / 180);
        return { ring, holes: facet.holes.map((hole) => hole.map(eye)), far, light };
      })
      .sort((a, b) => b.far - a.far);
    pen.lineJoin = "round";
    for (const facet of shades) {
      pen.beginPath();
      for (const ring of [facet.ring, ...facet.holes]) {
        ring.forEach(([x, y], number) => (number ? pen.lineTo(x, y) : pen.moveTo(x, y)));
        pen.closePath();
      }
      pen.globalAlpha = 1;
      pen.fillStyle = style.backgroundColor;
      pen.fill("evenodd");
      pen.globalAlpha = 0.05 + 0.2 * facet.light;
      pen.fillStyle = ink;
      pen.fill("evenodd");
      pen.globalAlpha = 1;
      pen.lineWidth = 1.2;
      pen.strokeStyle = ink;
      pen.stroke();
    }
    if (!state.faults?.length) this.bands(pen, eye, style, ink); // else they are not those of what is drawn now
    this.lines(pen, eye, style, ink);
  }

  bands(pen, eye, style, ink) {
    const [first] = this.plan.shown;
    if (!first) return;
    const verdicts = this.plan.verdicts;
    first.edges.points.forEach((point, number) => {
      if (verdicts[number] === "n") return;
      const next = first.edges.points[number + 1];
      const same = next && first.edges.edge.at[number + 1] === first.edges.edge.at[number];
      const a = eye(point), b = same ? eye(next) : [a0(a), a[1], a[2]];
      for (const [colour, width] of [[ink, 6], [style.getPropertyValue(`--${VERDICTS[verdicts[number]]}`), 3.5]]) {
        pen.beginPath();
        pen.moveTo(a[0], a[1]);
        pen.lineTo(b[0], b[1]);
        pen.lineWidth = width;
        pen.strokeStyle = colour;
        pen.stroke();
      }
    });
    function a0(a) {
      return a[0] + 1;
    }
  }

  lines(pen, eye, style, ink) {
    const hand = style.caretColor; // the accent, as a colour that a canvas takes
    for (const anchor of this.state.live.anchors) {
      const [x, y] = eye(anchor.at);
      pen.fillStyle = ink;
      pen.beginPath();
      pen.arc(x, y, 4, 0, 2 * Math.PI);
      pen.fill();
      pen.font = "14px 'Ropewright Sans', sans-serif";
      pen.fillText(anchor.name, x + 8, y - 6);
    }
    if (!this.fall) return;
    pen.strokeStyle = hand;
    pen.lineWidth = 2.5;
    pen.beginPath();
    this.fall.place_m.map(eye).forEach(([x, y], number) => (number ? pen.lineTo(x, y) : pen.moveTo(x, y)));
    pen.stroke();
  }
}
