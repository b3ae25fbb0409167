/** Keeps labels off one another: boxes that are taken, and the first free place of several. */

const CELL_PX = 64;

/** The keys of the cells a box touches. */
function cellsOf({ x, y }, width, height) {
  const cell = (pixels) => Math.floor(pixels / CELL_PX);
  const keys = [];
  for (let column = cell(x - width / 2); column <= cell(x + width / 2); column += 1) {
    for (let row = cell(y - height / 2); row <= cell(y + height / 2); row += 1) keys.push(`${column},${row}`);
  }
  return keys;
}

export class Places {
  /** `view` is the visible part, {min, max} in the same pixels; a label cut by its edge cannot be read. */
  constructor(view) {
    this.view = view;
    this.cells = new Map();
  }

  isInside({ x, y }, width, height) {
    const { min, max } = this.view;
    return x - width / 2 >= min.x && x + width / 2 <= max.x && y - height / 2 >= min.y && y + height / 2 <= max.y;
  }

  /** Whether a box of this size, centred here, lies in view and touches no taken one. */
  isFree(point, width, height) {
    return this.isInside(point, width, height) && this.near(point, width, height).every((box) => Math.abs(box.x - point.x) * 2 >= box.width + width || Math.abs(box.y - point.y) * 2 >= box.height + height);
  }

  /** Taken boxes in the cells that this box touches; with thousands of dangers all would be too many to ask. */
  near(point, width, height) {
    return cellsOf(point, width, height).flatMap((key) => this.cells.get(key) || []);
  }

  take(point, width, height) {
    const box = { x: point.x, y: point.y, width, height };
    for (const key of cellsOf(point, width, height)) {
      if (!this.cells.has(key)) this.cells.set(key, []);
      this.cells.get(key).push(box);
    }
    return point;
  }

  /** The first free of the candidates, or null; a label that is not vital can then be left out. */
  first(candidates, width, height) {
    const free = candidates.find((point) => this.isFree(point, width, height));
    return free ? this.take(free, width, height) : null;
  }

  /** As `first`, but a vital label is drawn even where nothing is free. */
  firstOrAny(candidates, width, height) {
    return this.first(candidates, width, height) || this.take(candidates[0], width, height);
  }
}

/** The part of a line from `a` to `b` that lies in a view, as its ends, or null. */
export function clipped(a, b, { min, max }) {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  let [enter, leave] = [0, 1];
  for (const [run, room] of [[-dx, a.x - min.x], [dx, max.x - a.x], [-dy, a.y - min.y], [dy, max.y - a.y]]) {
    if (run === 0 && room < 0) return null;
    if (run < 0) enter = Math.max(enter, room / run);
    if (run > 0) leave = Math.min(leave, room / run);
  }
  const at = (t) => ({ x: a.x + dx * t, y: a.y + dy * t });
  return enter < leave ? [at(enter), at(leave)] : null;
}

/**
 * Spreads plates in a row, in order, at least `room` apart and as near their own places as that allows.
 * Each run of plates that would touch is centred on its mean place.
 */
export function spread(places, room) {
  const runs = [];
  for (const place of places) {
    runs.push({ sum: place, count: 1 });
    while (runs.length > 1 && touches(runs[runs.length - 2], runs[runs.length - 1], room)) {
      const last = runs.pop();
      const before = runs[runs.length - 1];
      before.sum += last.sum;
      before.count += last.count;
    }
  }
  return runs.flatMap(({ sum, count }) => Array.from({ length: count }, (_, i) => sum / count + (i - (count - 1) / 2) * room));
}

function touches(a, b, room) {
  const end = a.sum / a.count + ((a.count - 1) / 2) * room;
  const begin = b.sum / b.count - ((b.count - 1) / 2) * room;
  return begin - end < room;
}
