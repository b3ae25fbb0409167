/**
 * Draws the shapes in view on a canvas, with as much detail as there is room for: rings and combs where each has
 * room, small rings where it is less, and dots where they lie thick. Two that fall on the same few pixels are drawn as one.
 */

import { clipped } from "../placing.js";
import { AREA, POINT } from "./shapes.js";

/** Room in pixels for each shape, from which on it is drawn so; the side of the square in which only one is drawn. */
const DETAILS = [
  { name: "rings", from: 30, square: 5 },
  { name: "small", from: 13, square: 4 },
  { name: "dots", from: 0, square: 3 },
];
const SMALLEST_SHAPE_PX = 4;
const MOST_TEETH = 4000;
/** A shape much larger than the view is cut to it: what draws loses its precision far outside. */
const CUT_FROM = 6;

/** Which detail a number of shapes in a view gets. */
export function detailFor(count, width, height) {
  const room = Math.sqrt((width * height) / Math.max(count, 1));
  return DETAILS.find(({ from }) => room >= from);
}

/** A ring with eight inward teeth, or a small ring: drawn once, then stamped. */
function stamp(name, colour, ratio) {
  const radius = name === "rings" ? 9 : 4;
  const side = 2 * radius + 4;
  const canvas = document.createElement("canvas");
  Object.assign(canvas, { width: Math.ceil(side * ratio), height: Math.ceil(side * ratio) });
  const pen = canvas.getContext("2d");
  pen.scale(ratio, ratio);
  pen.translate(side / 2, side / 2);
  Object.assign(pen, { strokeStyle: colour, fillStyle: colour, lineWidth: 1.6 });
  pen.beginPath();
  pen.arc(0, 0, radius, 0, 2 * Math.PI);
  for (let i = 0; name === "rings" && i < 8; i += 1) {
    const angle = ((i * 45 + 22.5) * Math.PI) / 180;
    pen.moveTo(radius * Math.sin(angle), -radius * Math.cos(angle));
    pen.lineTo((radius / 2) * Math.sin(angle), (-radius / 2) * Math.cos(angle));
  }
  pen.stroke();
  pen.fillRect(-1, -1, 2, 2);
  return { canvas, side };
}

/** The part of a ring that lies in a box, by cutting it along each side in turn. */
function cutRing(points, { min, max }) {
  const sides = [[0, min.x, 1], [0, max.x, -1], [1, min.y, 1], [1, max.y, -1]];
  return sides.reduce((ring, [axis, bound, sign]) => {
    const cut = [];
    ring.forEach((here, i) => {
      const before = ring[(i + ring.length - 1) % ring.length];
      const [a, b] = [(before[axis] - bound) * sign, (here[axis] - bound) * sign];
      if (a >= 0 !== b >= 0) { const t = a / (a - b); cut.push([before[0] + (here[0] - before[0]) * t, before[1] + (here[1] - before[1]) * t]); }
      if (b >= 0) cut.push(here);
    });
    return cut;
  }, points);
}

export class Painter {
  /** `view` is {scale, left, top, width, height}: pixels of the sheet's side, and of the canvas on it. */
  constructor(pen, shapes, view) {
    Object.assign(this, { pen, shapes, view, teeth: 0 });
    const margin = Math.max(view.width, view.height);
    this.room = { min: { x: -margin, y: -margin }, max: { x: view.width + margin, y: view.height + margin } };
  }

  x(i) { return this.shapes.xs[i] * this.view.scale - this.view.left; }

  y(i) { return this.shapes.ys[i] * this.view.scale - this.view.top; }

  /** The corners of a part in pixels, without those that fall on the one before. */
  corners(part) {
    const [from, to] = [this.shapes.starts[part], this.shapes.starts[part + 1]];
    const points = [];
    let [lastX, lastY] = [Infinity, Infinity];
    for (let i = from; i < to; i += 1) {
      const [x, y] = [this.x(i), this.y(i)];
      if (i < to - 1 && Math.abs(x - lastX) + Math.abs(y - lastY) < 1) continue;
      points.push([x, y]);
      [lastX, lastY] = [x, y];
    }
    return points;
  }

  /** Whether a shape reaches far beyond the view. */
  isHuge(index) {
    const [x0, y0, x1, y1] = this.shapes.boxes.subarray(4 * index, 4 * index + 4);
    const { scale, width, height } = this.view;
    return (x1 - x0) * scale > CUT_FROM * width || (y1 - y0) * scale > CUT_FROM * height;
  }

  /** The parts of a shape as lists of corners, cut where they reach far beyond the view. */
  lines(index, filled) {
    const { firstPart } = this.shapes;
    const parts = [];
    for (let part = firstPart[index]; part < firstPart[index + 1]; part += 1) parts.push(this.corners(part));
    if (!this.isHuge(index)) return parts;
    if (filled) return parts.map((one) => cutRing(one, this.room));
    return parts.flatMap((one) => one.slice(1).map((to, i) => clipped({ x: one[i][0], y: one[i][1] }, { x: to[0], y: to[1] }, this.room)).filter(Boolean).map((pair) => pair.map(({ x, y }) => [x, y])));
  }

  trace(parts) {
    for (const part of parts) {
      if (part.length < 2) continue;
      this.pen.moveTo(part[0][0], part[0][1]);
      for (let i = 1; i < part.length; i += 1) this.pen.lineTo(part[i][0], part[i][1]);
    }
  }

  fill(index) {
    this.pen.beginPath();
    this.trace(this.lines(index, true));
    this.pen.fill("evenodd");
  }

  /** Teeth along the edges of a shape: into an area, on both sides of an open line, whose danger side is not known. */
  comb(index, room = 12, length = 6) {
    const { firstPart, sides } = this.shapes;
    const { min, max } = this.room;
    for (let part = firstPart[index]; part < firstPart[index + 1]; part += 1) {
      const points = this.corners(part);
      const signs = sides[part] === 0 ? [1, -1] : [sides[part]];
      let left = room / 2;
      for (let i = 1; i < points.length && this.teeth < MOST_TEETH; i += 1) {
        const [[ax, ay], [bx, by]] = [points[i - 1], points[i]];
        const run = Math.hypot(bx - ax, by - ay);
        if (run === 0) continue;
        if (Math.max(ax, bx) < min.x || Math.min(ax, bx) > max.x || Math.max(ay, by) < min.y || Math.min(ay, by) > max.y || run > 20 * (max.x - min.x)) { left = room / 2; continue; }
        for (; left < run && this.teeth < MOST_TEETH; left += room) {
          const [x, y] = [ax + ((bx - ax) * left) / run, ay + ((by - ay) * left) / run];
          signs.forEach((sign) => {
            this.pen.moveTo(x, y);
            this.pen.lineTo(x - ((by - ay) / run) * sign * length, y + ((bx - ax) / run) * sign * length);
            this.teeth += 1;
          });
        }
        left -= run;
      }
    }
  }

  /** Every place of a shape that is drawn as a mark. */
  eachMark(index, put) {
    const { firstPart, starts } = this.shapes;
    if (this.shapes.type[index] === POINT) {
      for (let part = firstPart[index]; part < firstPart[index + 1]; part += 1) put(this.x(starts[part]), this.y(starts[part]));
    } else if (firstPart[index] < firstPart[index + 1]) put(this.x(starts[firstPart[index]]), this.y(starts[firstPart[index]]));
  }

  isSmall(index) {
    const at = 4 * index;
    const { boxes } = this.shapes;
    return Math.max(boxes[at + 2] - boxes[at], boxes[at + 3] - boxes[at + 1]) * this.view.scale < SMALLEST_SHAPE_PX;
  }

  /** Marks of one colour: stamped, or as dots. */
  marks(indexes, detail, colour, ratio) {
    const { width, height } = this.view;
    const columns = Math.ceil(width / detail.square) + 1;
    const taken = new Uint8Array(columns * (Math.ceil(height / detail.square) + 1));
    const image = detail.name === "dots" ? null : stamp(detail.name, colour, ratio);
    const half = image ? image.side / 2 : 1.5;
    this.pen.fillStyle = colour;
    for (const index of indexes) {
      this.eachMark(index, (x, y) => {
        if (x < 0 || y < 0 || x >= width || y >= height) return;
        const square = Math.floor(y / detail.square) * columns + Math.floor(x / detail.square);
        if (taken[square]) return;
        taken[square] = 1;
        if (image) this.pen.drawImage(image.canvas, Math.round(x - half), Math.round(y - half), image.side, image.side);
        else this.pen.fillRect(Math.round(x - half), Math.round(y - half), 3, 3);
      });
    }
  }

  /** Lines and areas of one colour. */
  edges(indexes, detail, { colour, fill, dash = [], width = 1.6, teeth = true }) {
    const areas = indexes.filter((index) => this.shapes.type[index] === AREA);
    if (fill) { this.pen.fillStyle = fill; areas.forEach((index) => this.fill(index)); }
    this.pen.strokeStyle = colour;
    this.pen.lineWidth = detail.name === "dots" ? Math.min(1, width) : width;
    this.pen.setLineDash(dash);
    this.pen.beginPath();
    indexes.forEach((index) => this.trace(this.lines(index, false)));
    if (teeth && detail.name === "rings") indexes.forEach((index) => this.comb(index));
    this.pen.stroke();
    this.pen.setLineDash([]);
  }
}

/** A ring about what is selected, and its edges drawn broad: colour alone would not do. */
function halo(painter, { indexes, colour }) {
  const { pen } = painter;
  Object.assign(pen, { strokeStyle: colour, lineWidth: 3 });
  for (const index of indexes) {
    pen.beginPath();
    painter.trace(painter.lines(index, false));
    pen.stroke();
    painter.eachMark(index, (x, y) => { pen.beginPath(); pen.arc(x, y, 14, 0, 2 * Math.PI); pen.stroke(); });
  }
}

/** The words of a group inside each area that has room for them, once. */
function labels(painter, { indexes, colour, label, plate }) {
  const { pen, shapes, view } = painter;
  pen.font = "600 16px sans-serif";
  const wide = pen.measureText(label).width;
  for (const index of indexes) {
    const [x0, y0, x1, y1] = [0, 1, 2, 3].map((at) => shapes.boxes[4 * index + at] * view.scale - (at % 2 === 0 ? view.left : view.top));
    const [left, right, top, bottom] = [Math.max(x0, 0), Math.min(x1, view.width), Math.max(y0, 0), Math.min(y1, view.height)];
    if (right - left < wide + 12 || bottom - top < 24) continue;
    const [x, y] = [(left + right) / 2, (top + bottom) / 2];
    if (shapes.distance(index, (x + view.left) / view.scale, (y + view.top) / view.scale) > 0) continue;
    pen.fillStyle = plate;
    pen.fillRect(x - wide / 2 - 4, y - 11, wide + 8, 22);
    pen.fillStyle = colour;
    pen.fillText(label, x - wide / 2, y + 5.5);
  }
}

/** Draws shapes: `groups` are lists of indexes, each {indexes, colour, fill, chosen}, the last on top. Returns the detail. */
export function paint(pen, shapes, view, groups, ratio) {
  const painter = new Painter(pen, shapes, view);
  const detail = detailFor(groups.reduce((sum, { indexes }) => sum + indexes.length, 0), view.width, view.height);
  for (const group of groups) {
    const { indexes, colour } = group;
    const asMark = (index) => shapes.type[index] === POINT || painter.isSmall(index);
    painter.edges(indexes.filter((index) => !asMark(index)), detail, group);
    painter.marks(indexes.filter(asMark), detail, colour, ratio);
    if (group.chosen) halo(painter, group);
    if (group.label) labels(painter, group);
  }
  return detail;
}
