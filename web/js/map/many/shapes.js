/**
 * Many shapes in columns, placed on the Mercator sheet once, with a grid that finds those in view. The sheet is one
 * wide and one high: what the map library calls pixels of a zoom is this times its scale. Drawing only; no figure of the plan
 * comes from here.
 */

export const [POINT, LINE, AREA] = [0, 1, 2];

const TYPES = { Point: POINT, MultiPoint: POINT, LineString: LINE, MultiLineString: LINE, Polygon: AREA, MultiPolygon: AREA };
const MOST_LAT_DEG = 85.0511287798;
/** An edge is straight in latitude and longitude: where it slants it gets corners so often, as the service's own do. */
const DENSE_DEG = 0.05;
const SIDE = 96;
/** A shape over more cells than this is looked at in every view. */
const MOST_CELLS = 400;

const sheetX = (lon_deg) => (lon_deg + 180) / 360;

function sheetY(lat_deg) {
  const sine = Math.sin((Math.max(-MOST_LAT_DEG, Math.min(MOST_LAT_DEG, lat_deg)) * Math.PI) / 180);
  return 0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI);
}

/** The parts of a geometry as [positions, tooth side]: 0 for points and open lines, 1 for the rim of an area, -1 for a hole in it. */
function partsOf(geometry) {
  const { type, coordinates, geometries } = geometry || {};
  switch (type) {
    case "GeometryCollection": return geometries.flatMap(partsOf);
    case "Point": return [[[coordinates], 0]];
    case "MultiPoint": return coordinates.map((one) => [[one], 0]);
    case "LineString": return [[coordinates, 0]];
    case "MultiLineString": return coordinates.map((one) => [one, 0]);
    case "Polygon": return coordinates.map((ring, i) => [ring, i === 0 ? 1 : -1]);
    case "MultiPolygon": return coordinates.flatMap((area) => area.map((ring, i) => [ring, i === 0 ? 1 : -1]));
    default: return [];
  }
}

/** What kind of shape a geometry is; one of several kinds counts as the largest of them. */
function typeOf(geometry) {
  return geometry?.geometries ? Math.max(POINT, ...geometry.geometries.map(typeOf)) : TYPES[geometry?.type] ?? POINT;
}

/** The positions of a part, with corners put into long slanting edges. */
function* dense(positions) {
  for (let i = 0; i < positions.length; i += 1) {
    const [lon, lat] = positions[i];
    if (i > 0) {
      const [fromLon, fromLat] = positions[i - 1];
      const [wide, high] = [Math.abs(lon - fromLon), Math.abs(lat - fromLat)];
      const count = wide > 1e-9 && high > 1e-9 ? Math.min(Math.ceil(Math.max(wide, high) / DENSE_DEG), 400) : 1;
      for (let n = 1; n < count; n += 1) yield [fromLon + ((lon - fromLon) * n) / count, fromLat + ((lat - fromLat) * n) / count];
    }
    yield positions[i];
  }
}

/** Twice the area of a ring on the sheet, with its sign. */
function turning(xs, ys, from, to) {
  let sum = 0;
  for (let i = from; i < to; i += 1) {
    const next = i + 1 < to ? i + 1 : from;
    sum += xs[i] * ys[next] - xs[next] * ys[i];
  }
  return sum;
}

export class Shapes {
  /** `items` have a GeoJSON `geometry`; `shifted` draws western longitudes 360 further east, where a route crosses 180. */
  constructor(items, shifted) {
    this.items = items;
    this.count = items.length;
    this.type = new Uint8Array(this.count);
    this.boxes = new Float64Array(4 * this.count);
    this.firstPart = new Int32Array(this.count + 1);
    const [xs, ys, starts, sides] = [[], [], [], []];
    items.forEach(({ geometry }, index) => {
      this.type[index] = typeOf(geometry);
      const from = xs.length;
      for (const [positions, side] of partsOf(geometry)) {
        const start = xs.length;
        for (const [lon, lat] of dense(positions)) {
          xs.push(sheetX(shifted && lon < 0 ? lon + 360 : lon));
          ys.push(sheetY(lat));
        }
        starts.push(start);
        sides.push(side && (turning(xs, ys, start, xs.length) < 0 ? -side : side));
      }
      this.firstPart[index + 1] = starts.length;
      this.box(index, xs, ys, from);
    });
    starts.push(xs.length);
    this.starts = Int32Array.from(starts);
    this.sides = Int8Array.from(sides);
    this.xs = Float64Array.from(xs);
    this.ys = Float64Array.from(ys);
    this.makeGrid();
  }

  box(index, xs, ys, from) {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = from; i < xs.length; i += 1) {
      box[0] = Math.min(box[0], xs[i]);
      box[1] = Math.min(box[1], ys[i]);
      box[2] = Math.max(box[2], xs[i]);
      box[3] = Math.max(box[3], ys[i]);
    }
    this.boxes.set(box, 4 * index);
  }

  /** The columns and rows of the grid that a box touches. */
  cells(minX, minY, maxX, maxY) {
    const cut = (value, low, size) => Math.max(0, Math.min(SIDE - 1, Math.floor(((value - low) / size) * SIDE)));
    const { left, top, wide, high } = this;
    return [cut(minX, left, wide), cut(minY, top, high), cut(maxX, left, wide), cut(maxY, top, high)];
  }

  makeGrid() {
    let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let i = 0; i < this.boxes.length; i += 4) {
      left = Math.min(left, this.boxes[i]);
      top = Math.min(top, this.boxes[i + 1]);
      right = Math.max(right, this.boxes[i + 2]);
      bottom = Math.max(bottom, this.boxes[i + 3]);
    }
    Object.assign(this, { left, top, wide: Math.max(right - left, 1e-9), high: Math.max(bottom - top, 1e-9) });
    const counts = new Int32Array(SIDE * SIDE + 1);
    this.large = [];
    this.each((index, cell) => { counts[cell + 1] += 1; }, (index) => this.large.push(index));
    for (let i = 0; i < SIDE * SIDE; i += 1) counts[i + 1] += counts[i];
    this.cellStart = counts;
    this.inCell = new Int32Array(counts[SIDE * SIDE]);
    const next = counts.slice();
    this.each((index, cell) => { this.inCell[next[cell]] = index; next[cell] += 1; }, () => {});
    this.seen = new Uint32Array(this.count);
    this.look = 0;
  }

  /** Calls `put` for each shape and each cell it touches, or `large` for one that touches many. */
  each(put, large) {
    for (let index = 0; index < this.count; index += 1) {
      const box = this.boxes.subarray(4 * index, 4 * index + 4);
      if (box[0] > box[2]) continue; // a geometry without a position
      const [x0, y0, x1, y1] = this.cells(...box);
      if ((x1 - x0 + 1) * (y1 - y0 + 1) > MOST_CELLS) { large(index); continue; }
      for (let y = y0; y <= y1; y += 1) for (let x = x0; x <= x1; x += 1) put(index, y * SIDE + x);
    }
  }

  /** The indexes of the shapes whose boxes touch a box of the sheet, each once. */
  within(minX, minY, maxX, maxY) {
    this.look += 1;
    const { boxes, seen, look } = this;
    const found = [];
    const take = (index) => {
      if (seen[index] === look) return;
      seen[index] = look;
      const at = 4 * index;
      if (boxes[at] <= maxX && boxes[at + 2] >= minX && boxes[at + 1] <= maxY && boxes[at + 3] >= minY) found.push(index);
    };
    const [x0, y0, x1, y1] = this.cells(minX, minY, maxX, maxY);
    for (let y = y0; y <= y1; y += 1) {
      for (let i = this.cellStart[y * SIDE + x0]; i < this.cellStart[y * SIDE + x1 + 1]; i += 1) take(this.inCell[i]);
    }
    this.large.forEach(take);
    return found;
  }

  /** The distance of a place to a shape, all on the sheet; 0 inside an area. */
  distance(index, x, y) {
    let least = Infinity;
    let inside = false;
    for (let part = this.firstPart[index]; part < this.firstPart[index + 1]; part += 1) {
      const [from, to] = [this.starts[part], this.starts[part + 1]];
      if (to - from === 1) least = Math.min(least, Math.hypot(this.xs[from] - x, this.ys[from] - y));
      for (let i = from + 1; i < to; i += 1) {
        const [ax, ay, bx, by] = [this.xs[i - 1], this.ys[i - 1], this.xs[i], this.ys[i]];
        const run = (bx - ax) ** 2 + (by - ay) ** 2;
        const t = run > 0 ? Math.max(0, Math.min(1, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / run)) : 0;
        least = Math.min(least, Math.hypot(ax + t * (bx - ax) - x, ay + t * (by - ay) - y));
        if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
      }
    }
    return inside && this.type[index] === AREA ? 0 : least;
  }
}
