// What can be taken hold of in the drawing: each thing with its points, and what moving a point does to the tables.

const LISTS = [
  { list: "roof.wing", kind: "wing", frame: true },
  { list: "roof.courtyard", kind: "courtyard" },
  { list: "roof.dormer", kind: "dormer" },
  { list: "roof.opening", kind: "opening" },
  { list: "site.level", kind: "level" },
  { list: "site.obstacle", kind: "obstacle" },
  { list: "site.power_line", kind: "power line", run: "points" },
  { list: "area", kind: "area" },
  { list: "no_anchor", kind: "no anchor" },
  { list: "framing", kind: "framing", run: "points" },
  { list: "anchor", kind: "anchor" },
];

// Every thing: {path, kind, name, shape, points: [{path, at, move(to)}], move(by) or null}.
export function things(state) {
  const found = [];
  const roof = state.get("roof");
  if (roof && !roof.file && !roof.cityjson && !roof.facets) found.push(framed(state, "roof", "roof", "roof"));
  for (const { list, kind, frame, run } of LISTS) {
    (state.get(list) ?? []).forEach((row, number) => {
      const path = `${list}[${number}]`;
      const name = row.name ?? `${kind} ${number + 1}`;
      if (frame) found.push(framed(state, path, kind, name));
      else if (run) found.push(runOf(state, path, run, kind, name));
      else if (row.outline) found.push(ringOf(state, `${path}.outline`, path, kind, name));
      else if (row.center) found.push(boxOf(state, path, kind, name));
      else if (row.at) found.push(pointOf(state, path, kind, name));
      else if (row.side) found.push(onWall(state, path, kind, name));
    });
  }
  // what is being typed may be no length yet: such a thing is drawn again once it is
  return found.filter((thing) => thing?.ring.flat().every(Number.isFinite));
}

// Walls: an outline of their own, or a rectangle told by size and corner.
function framed(state, path, kind, name) {
  const table = state.get(path);
  if (table.outline) return ringOf(state, `${path}.outline`, path, kind, name);
  if (!table.size) return null;
  const [x, y] = table.corner ? state.point(`${path}.corner`) : [0, 0];
  const [w, d] = state.point(`${path}.size`);
  const corners = [[x, y], [x + w, y], [x + w, y + d], [x, y + d]];
  const points = corners.map((at, number) => ({
    path: `${path}.size`,
    name: `${number + 1}`,
    at,
    move: ([px, py]) => {
      const [ox, oy] = corners[(number + 2) % 4]; // the corner across stays
      const left = Math.min(px, ox), low = Math.min(py, oy);
      if (Math.abs(px - ox) < 0.5 || Math.abs(py - oy) < 0.5) return;
      if (left || low || table.corner) state.setPoint(`${path}.corner`, [left, low]);
      state.setPoint(`${path}.size`, [Math.abs(px - ox), Math.abs(py - oy)]);
    },
  }));
  const move = ([dx, dy]) => state.setPoint(`${path}.corner`, [x + dx, y + dy]);
  return { path, kind, name, shape: "ring", ring: corners, points, move };
}

function ringOf(state, list, path, kind, name) {
  const ring = state.get(list).map((_one, number) => state.point(`${list}[${number}]`));
  const points = ring.map((at, number) => pointAt(state, `${list}[${number}]`, at, number));
  const move = ([dx, dy]) => ring.forEach(([x, y], number) => state.setPoint(`${list}[${number}]`, [x + dx, y + dy]));
  return { path, kind, name, shape: "ring", list, ring, points, move };
}

function runOf(state, path, key, kind, name) {
  const list = `${path}.${key}`;
  const ring = state.get(list).map((_one, number) => state.point(`${list}[${number}]`));
  const points = ring.map((at, number) => pointAt(state, `${list}[${number}]`, at, number));
  const move = ([dx, dy]) => ring.forEach(([x, y], number) => state.setPoint(`${list}[${number}]`, [x + dx, y + dy]));
  return { path, kind, name, shape: "run", list, ring, points, move };
}

function pointAt(state, path, at, number) {
  return { path, name: `${number + 1}`, at, move: (to) => state.setPoint(path, to) };
}

function boxOf(state, path, kind, name) {
  const [x, y] = state.point(`${path}.center`);
  const [w, d] = state.point(`${path}.size`);
  const ring = [[x - w / 2, y - d / 2], [x + w / 2, y - d / 2], [x + w / 2, y + d / 2], [x - w / 2, y + d / 2]];
  const centre = { path: `${path}.center`, name: "", at: [x, y], move: (to) => state.setPoint(`${path}.center`, to) };
  const size = {
    path: `${path}.size`,
    name: "size",
    at: ring[2],
    move: ([px, py]) => state.setPoint(`${path}.size`, [Math.max(2 * Math.abs(px - x), 0.1), Math.max(2 * Math.abs(py - y), 0.1)]),
  };
  // an opening's size is measured along its slope: its rim comes from the server, and its size is typed
  const points = kind === "opening" ? [centre] : [centre, size];
  return { path, kind, name, shape: kind === "opening" ? "point" : "ring", ring, points, move: ([dx, dy]) => centre.move([x + dx, y + dy]) };
}

function pointOf(state, path, kind, name) {
  const at = state.point(`${path}.at`);
  const one = { path: `${path}.at`, name: "", at, move: (to) => state.setPoint(`${path}.at`, to) };
  return { path, kind, name, shape: "point", ring: [at], points: [one], move: ([dx, dy]) => one.move([at[0] + dx, at[1] + dy]) };
}

// A dormer told by a wall of the main part: it moves along that wall and away from it.
function onWall(state, path, kind, name) {
  const row = state.get(path);
  const roof = framed(state, "roof", "roof", "roof");
  const first = roof?.ring[row.side - 1];
  if (!first) return null;
  const then = roof.ring[row.side % roof.ring.length];
  const long = Math.hypot(then[0] - first[0], then[1] - first[1]);
  const u = [(then[0] - first[0]) / long, (then[1] - first[1]) / long];
  const along = state.metres(`${path}.along`) ?? 0, setback = state.metres(`${path}.setback`) ?? 0;
  const at = [first[0] + along * u[0] - setback * u[1], first[1] + along * u[1] + setback * u[0]];
  const move = ([px, py]) => {
    const [dx, dy] = [px - first[0], py - first[1]];
    state.set(`${path}.along`, state.text(Math.max(dx * u[0] + dy * u[1], 0)));
    state.set(`${path}.setback`, state.text(Math.max(dy * u[0] - dx * u[1], 0)));
  };
  return { path, kind, name, shape: "point", ring: [at], points: [{ path: `${path}.along`, name: "", at, move }], move: ([dx, dy]) => move([at[0] + dx, at[1] + dy]) };
}

// The wall of the main part that a place lies nearest behind: its number, how far along it, and how far in.
export function wallNear(state, [x, y]) {
  const ring = framed(state, "roof", "roof", "roof")?.ring ?? [];
  const walls = ring.map((first, number) => {
    const then = ring[(number + 1) % ring.length];
    const long = Math.hypot(then[0] - first[0], then[1] - first[1]);
    const u = [(then[0] - first[0]) / long, (then[1] - first[1]) / long];
    const [dx, dy] = [x - first[0], y - first[1]];
    return { side: number + 1, along: dx * u[0] + dy * u[1], setback: dy * u[0] - dx * u[1], long };
  });
  const near = walls.filter((wall) => wall.setback >= 0 && wall.along >= 0 && wall.along <= wall.long).sort((a, b) => a.setback - b.setback)[0];
  return near ? { side: near.side, along: state.text(near.along), setback: state.text(near.setback) } : null;
}

// Tables of new things, with what a person must still fill in left out: the server then asks for it.
export function newThing(state, kind, at) {
  const t = (metres) => state.text(metres);
  const point = [t(at[0]), t(at[1])];
  const us = state.units === "us";
  const size = (w, d) => [t(w), t(d)];
  const named = (list, word) => `${word} ${(state.get(list) ?? []).length + 1}`;
  switch (kind) {
    case "anchor":
      return ["anchor", { name: named("anchor", "anchor"), at: point, strength: us ? "5,000 lbf" : "22 kN", basis: "ultimate" }];
    case "opening":
      return ["roof.opening", { name: named("roof.opening", "skylight"), center: point, size: size(0.8, 1.2), guard: "none" }];
    case "obstacle":
      return ["site.obstacle", { name: named("site.obstacle", "chimney"), center: point, size: size(0.8, 0.6), top: t(highest(state) + 1) }];
    case "level":
      return ["site.level", { name: named("site.level", "deck"), height: t(1), center: point, size: size(4, 3) }];
    case "power line":
      return ["site.power_line", { name: named("site.power_line", "line"), voltage: us ? "7.2 kV" : "11 kV", points: [[t(at[0] - 8), point[1], t(7)], [t(at[0] + 8), point[1], t(7)]] }];
    case "area":
      return ["area", { name: named("area", "area"), center: point, size: size(4, 3) }];
    case "no anchor":
      return ["no_anchor", { name: named("no_anchor", "keep off"), center: point, size: size(2, 2) }];
    case "framing":
      return ["framing", { name: named("framing", "framing"), points: [[t(at[0] - 2), point[1]], [t(at[0] + 2), point[1]]] }];
    case "wing":
      return ["roof.wing", { name: named("roof.wing", "wing"), form: "gable", size: size(4, 5), corner: [t(at[0] - 2), t(at[1] - 2.5)], eave_height: state.get("roof.eave_height") ?? t(3), pitch: state.get("roof.pitch") ?? "35 deg" }];
    case "dormer":
      return ["roof.dormer", { name: named("roof.dormer", "dormer"), at: point, width: t(1.6), front_height: t(1.2), kind: "gable", pitch: state.get("roof.pitch") ?? "35 deg" }];
    case "courtyard":
      return ["roof.courtyard", { center: point, size: size(3, 3), kind: "hip" }];
    default:
      throw new Error(`no such thing: ${kind}`);
  }
}

function highest(state) {
  return Math.max(0, ...state.live.roof.facets.flatMap((facet) => facet.ring.map((corner) => corner[2])));
}
