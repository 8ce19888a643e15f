// Plane geometry of the drawing hand: right angles, insides, directions. Places are [x, y] in metres, y to the north.

export function minus([ax, ay], [bx, by]) {
  return [ax - bx, ay - by];
}

export function along([x, y], [ux, uy], far) {
  return [x + ux * far, y + uy * far];
}

export function dot([ax, ay], [bx, by]) {
  return ax * bx + ay * by;
}

export function unit(a, b) {
  const [x, y] = minus(b, a), long = Math.hypot(x, y);
  return long > 1e-9 ? [x / long, y / long] : null;
}

export function left([x, y]) {
  return [-y, x];
}

// Twice the area inside a ring; below zero if it runs clockwise.
export function turned(ring) {
  return ring.reduce((sum, [x, y], number) => {
    const [nx, ny] = ring[(number + 1) % ring.length];
    return sum + x * ny - nx * y;
  }, 0);
}

export function isInside([x, y], ring) {
  return ring.reduce((inside, [ax, ay], number) => {
    const [bx, by] = ring[(number + 1) % ring.length];
    return ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax ? !inside : inside;
  }, false);
}

// A place well inside a ring: the middle where that is inside, else the point of a coarse grid farthest from the walls.
export function placeInside(ring) {
  const xs = ring.map((p) => p[0]), ys = ring.map((p) => p[1]);
  const low = [Math.min(...xs), Math.min(...ys)], wide = Math.max(...xs) - low[0], deep = Math.max(...ys) - low[1];
  const places = Array.from({ length: 225 }, (_one, n) => [low[0] + (wide * ((n % 15) + 0.5)) / 15, low[1] + (deep * (Math.floor(n / 15) + 0.5)) / 15]);
  const inside = places.filter((place) => isInside(place, ring));
  const room = (place) => Math.min(...ring.map((a, number) => farFrom(place, a, ring[(number + 1) % ring.length])));
  return inside.sort((a, b) => room(b) - room(a))[0] ?? low;
}

function farFrom(place, a, b) {
  const u = unit(a, b) ?? [1, 0];
  const long = Math.hypot(...minus(b, a));
  const t = Math.min(Math.max(dot(minus(place, a), u), 0), long);
  return Math.hypot(...minus(place, along(a, u, t)));
}

// Place on the lines through neighbouring corners that stand at right angles to the sides beyond them, where it is near
// one; sides along x or y are left to the snapping to those. null: near none.
export function squared(at, ring, number, closed, near) {
  const corner = (step) => (closed ? ring[(number + step + ring.length) % ring.length] : ring[number + step]);
  const lines = [-1, 1].flatMap((way) => {
    const [beside, beyond] = [corner(way), corner(2 * way)];
    const side = beside && beyond && ring.length > 3 - Number(!closed) && unit(beyond, beside);
    if (!side || Math.min(Math.abs(side[0]), Math.abs(side[1])) < 0.01) return [];
    const u = left(side), far = dot(minus(at, beside), u), on = along(beside, u, far);
    return Math.hypot(...minus(at, on)) <= near ? [{ beside, u, on }] : [];
  });
  if (!lines.length) return null;
  const [a, b] = lines;
  const across = b ? a.u[0] * b.u[1] - a.u[1] * b.u[0] : 0;
  if (Math.abs(across) < 0.05) return { at: a.on, lines: [a] };
  const [dx, dy] = minus(b.beside, a.beside);
  const met = along(a.beside, a.u, (dx * b.u[1] - dy * b.u[0]) / across);
  return Math.hypot(...minus(met, at)) <= 2 * near ? { at: met, lines } : { at: a.on, lines: [a] };
}

// Next corner of an outline: straight on or at a right angle to the last side where it is nearly so, a round length
// long, and square to the first side where that is near.
export function nextCorner(ring, to, step, near) {
  if (!ring.length) return to.map((v) => Math.round(v / step) * step);
  const last = ring.at(-1);
  const way = unit(last, to);
  if (!way) return last;
  const side = (ring.length > 1 && unit(ring.at(-2), last)) || [1, 0];
  const ways = [side, left(side), left(left(side)), left(left(left(side)))];
  const straight = ways.find((one) => dot(one, way) > Math.cos((6 * Math.PI) / 180));
  if (!straight) return to.map((v) => Math.round(v / step) * step);
  const far = dot(minus(to, last), straight);
  const first = ring.length > 2 && unit(ring[0], ring[1]);
  const slope = first ? dot(straight, first) : 0;
  const close = first && Math.abs(slope) > 0.1 ? dot(minus(ring[0], last), first) / slope : NaN;
  return along(last, straight, Math.abs(close - far) < near ? close : Math.max(Math.round(far / step) * step, step));
}
