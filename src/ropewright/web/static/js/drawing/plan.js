// The plan view: roof, zones, falls along the edges and what stands round, north up; drawn anew from the state.

const SVG = "http://www.w3.org/2000/svg";

export const VERDICTS = { h: "holds", d: "doubtful", a: "ask", f: "fails", n: "not reached" };
const WORSE = "nhdaf"; // each letter worse than those before it

export class Plan {
  constructor(svg, state) {
    this.svg = svg;
    this.state = state;
    this.layers = {};
    for (const name of ["underlay", "facets", "zones", "site", "edges", "field", "dims", "guides", "handles", "trace"]) {
      this.layers[name] = element("g", { class: `layer-${name}` });
      svg.append(this.layers[name]);
    }
    this.middle = [0, 0];
    this.scale = 20; // pixels to a metre
    this.worker = "";
    this.measure();
    new ResizeObserver(() => {
      const [before] = this.size;
      this.measure();
      this.scale *= this.size[0] / before; // a phone that is turned shows as much of the roof as before
      this.draw();
    }).observe(svg);
    this.fit();
  }

  // Looked at when it changes alone: asked for at each of a thousand points, it would have the page laid out each time.
  measure() {
    const box = this.svg.getBoundingClientRect();
    this.size = [Math.max(box.width, 50), Math.max(box.height, 50)];
  }

  // Show everything that the roof and its anchors take.
  fit() {
    const corners = this.state.live.roof.facets.flatMap((facet) => facet.ring);
    if (!corners.length) return;
    const xs = corners.map((corner) => corner[0]), ys = corners.map((corner) => corner[1]);
    const [w, h] = this.size;
    const wide = Math.max(...xs) - Math.min(...xs) + 3, deep = Math.max(...ys) - Math.min(...ys) + 3;
    this.middle = [(Math.max(...xs) + Math.min(...xs)) / 2, (Math.max(...ys) + Math.min(...ys)) / 2];
    this.scale = Math.min(w / wide, h / deep);
    this.draw();
  }

  screen([x, y]) {
    const [w, h] = this.size;
    return [w / 2 + (x - this.middle[0]) * this.scale, h / 2 - (y - this.middle[1]) * this.scale];
  }

  world([px, py]) {
    const [w, h] = this.size;
    return [this.middle[0] + (px - w / 2) / this.scale, this.middle[1] - (py - h / 2) / this.scale];
  }

  // Zoom about a place on the screen, so that what is under the finger stays there.
  zoom(factor, at) {
    const before = this.world(at);
    this.scale = Math.min(Math.max(this.scale * factor, 2), 400);
    const after = this.world(at);
    this.middle = [this.middle[0] + before[0] - after[0], this.middle[1] + before[1] - after[1]];
    this.draw();
  }

  shift(dx, dy) {
    this.middle = [this.middle[0] - dx / this.scale, this.middle[1] + dy / this.scale];
    this.draw();
  }

  // Workers that are shown: one, or all of them with the worst at each place.
  get shown() {
    const all = this.state.live.workers;
    const one = all.filter((worker) => worker.worker === this.worker);
    return one.length ? one : all;
  }

  draw() {
    const [w, h] = this.size;
    this.svg.setAttribute("viewBox", `0 0 ${w} ${h}`);
    const { roof, site } = this.state.live;
    fill(this.layers.facets, roof.facets.map((facet) => element("path", { class: "facet", d: this.path([facet.ring, ...facet.holes]) })));
    fill(this.layers.site, [
      ...site.levels.filter((one) => one.outline).map((one) => this.area("level", one)),
      ...site.obstacles.map((one) => this.area("obstacle", one)),
      ...site.power.map((one) => element("polyline", { class: "power", points: this.run(one.points) })),
    ]);
    fill(this.layers.edges, [
      ...roof.edges.map((edge) => this.line(`edge edge-${edge.type.replace(/\W/g, "-")}`, edge.a, edge.b)),
      ...roof.openings.map((one) => element("path", { class: "opening", d: this.path([one.ring]) })),
      ...this.state.live.areas.flatMap((one) => one.rings.map((ring) => element("path", { class: "area", d: this.path([ring]) }))),
    ]);
    this.drawZones();
    this.drawField();
    this.dispatch();
  }

  dispatch() {
    this.svg.dispatchEvent(new Event("drawn"));
  }

  drawZones() {
    const paths = { c: "", x: "" };
    for (const worker of this.shown) {
      const half = (worker.zones.step_m / 2) * this.scale + 0.25; // a hair more, so that no seams show
      worker.zones.points.forEach((point, number) => {
        const zone = worker.zones.zone[number];
        if (zone !== "c" && zone !== "x") return;
        const [x, y] = this.screen(point);
        paths[zone] += `M${x - half} ${y - half}h${2 * half}v${2 * half}h${-2 * half}z`;
      });
    }
    fill(this.layers.zones, Object.entries(paths).map(([zone, d]) => element("path", { class: `zone zone-${zone}`, d })));
  }

  // Verdict at each edge point; of all workers that are shown, the worst.
  get verdicts() {
    const workers = this.shown;
    if (!workers.length) return [];
    return workers[0].edges.points.map((_point, number) => {
      const letters = workers.map((worker) => worker.edges.verdict[number]);
      return letters.reduce((worst, one) => (WORSE.indexOf(one) > WORSE.indexOf(worst) ? one : worst), "n");
    });
  }

  drawField() {
    const [first] = this.shown;
    if (!first) return fill(this.layers.field, []);
    const { points, edge } = first.edges;
    const verdicts = this.verdicts;
    const runs = [];
    points.forEach((point, number) => {
      const last = runs.at(-1);
      const same = last && last.edge === edge.at[number];
      if (same && last.verdict === verdicts[number]) last.points.push(point);
      else {
        const run = { edge: edge.at[number], verdict: verdicts[number], points: [point] };
        if (same) {
          const before = last.points.at(-1);
          const half = [(before[0] + point[0]) / 2, (before[1] + point[1]) / 2];
          last.points.push(half);
          run.points.unshift(half);
        }
        runs.push(run);
      }
    });
    const bands = runs.filter((run) => run.verdict !== "n");
    fill(this.layers.field, bands.flatMap((run) => {
      const points = this.run(run.points.length > 1 ? run.points : [run.points[0], run.points[0].map((v) => v + 0.01)]);
      return [
        element("polyline", { class: "band-under", points }),
        element("polyline", { class: `band-${VERDICTS[run.verdict]}`, points }),
        element("polyline", { class: `band-on-${VERDICTS[run.verdict]}`, points }),
      ];
    }));
  }

  // Nearest edge point to a place on the screen, within so many pixels: {number, far}.
  nearest(at, within = 24) {
    const [first] = this.shown;
    let best = null;
    first?.edges.points.forEach((point, number) => {
      const [x, y] = this.screen(point);
      const far = Math.hypot(x - at[0], y - at[1]);
      if (far < within && (!best || far < best.far)) best = { number, far };
    });
    return best;
  }

  area(kind, one) {
    return element("path", { class: kind, d: this.path([one.outline]) });
  }

  line(kind, a, b) {
    const [x1, y1] = this.screen(a), [x2, y2] = this.screen(b);
    return element("line", { class: kind, x1, y1, x2, y2 });
  }

  run(points) {
    return points.map((point) => this.screen(point).map((v) => v.toFixed(1)).join(",")).join(" ");
  }

  path(rings) {
    return rings.map((ring) => `M${this.run(ring)}Z`).join("");
  }
}

export function element(name, attributes = {}, text = "") {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text) made.textContent = text;
  return made;
}

export function fill(layer, parts) {
  layer.replaceChildren(...parts);
}
