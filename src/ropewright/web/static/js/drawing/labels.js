// Words in the plan that don't lie over each other: each takes the first of its places that is free.

const LETTER = 6.8, LINE = 15; // pixels, about

// Box that a text takes, turned by so many degrees about its middle.
export function textBox(text, x, y, turn = 0) {
  const [w, h] = [text.length * LETTER, LINE];
  const [cos, sin] = [Math.abs(Math.cos((turn * Math.PI) / 180)), Math.abs(Math.sin((turn * Math.PI) / 180))];
  const wide = w * cos + h * sin, high = w * sin + h * cos;
  return [x - wide / 2, y - high / 2, x + wide / 2, y + high / 2];
}

export function isFree(box, taken) {
  return !taken.some(([x1, y1, x2, y2]) => box[0] < x2 && x1 < box[2] && box[1] < y2 && y1 < box[3]);
}

// Where the name of a point goes, from the point: [dx, dy, anchor], and the box that it takes there.
export function besidePoint(text, [x, y], taken) {
  const half = (text.length * LETTER) / 2;
  const places = [[9, -8, "start"], [9, 18, "start"], [-9, -8, "end"], [-9, 18, "end"], [0, -14, "middle"], [0, 24, "middle"]];
  const boxes = places.map(([dx, dy, anchor]) => {
    const middle = x + dx + { start: half, end: -half, middle: 0 }[anchor];
    return textBox(text, middle, y + dy - 5);
  });
  const free = boxes.findIndex((box) => isFree(box, taken));
  const number = Math.max(free, 0);
  return { place: places[number], box: boxes[number] };
}
