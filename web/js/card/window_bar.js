/** The window as a bar over the line of wheel-overs, with a stop and a label at each end that lies in the drawing. */

import { svg } from "../dom.js";
import { nmInCables, nmText } from "../format.js";
import { TEXT_SCALE, textWidth } from "../map/symbols.js";
import { isEmpty } from "./bounds.js";

const BAR = 20 * TEXT_SCALE;
const LABEL = 18 * TEXT_SCALE;
/** Room the bar and its labels take above the line. */
export const WINDOW_HEIGHT = LABEL + BAR + 14;

const cablesOf = ({ distance_nm: distance }) => nmInCables(distance);

/** The ends that are near enough to the dots to be drawn without squeezing these. */
export function reaching(window, dots) {
  if (!window || isEmpty(window)) return [];
  const [least, most] = [Math.min(...dots), Math.max(...dots)];
  const far = Math.max(5, 2 * (most - least));
  return [window.earliest, window.latest].map(cablesOf).filter((end) => end <= most + far && end >= least - far);
}

function words(text, x, anchor) {
  return svg("text", { x, y: LABEL - 4, "text-anchor": anchor, class: "window-label" }, text);
}

/** A window that lies wholly beside what is drawn: said, with the way to it. */
function outside(opens, closes, isEarlier, { left, right }) {
  const text = `window ${nmText(Math.abs(opens))} to ${nmText(Math.abs(closes))}${closes < 0 ? " past" : ""}`;
  return svg("g", { "data-testid": "window-bar", "data-state": "outside" }, isEarlier ? words(`< ${text}`, left, "start") : words(`${text} >`, right, "end"));
}

/** `xOf` turns cables into the drawing; an end outside it is an open one, with an arrow in its label. */
export function windowBar(window, { range, xOf, left, right, width }) {
  if (!window) return null;
  if (isEmpty(window)) return svg("g", { "data-testid": "window-bar", "data-state": "empty" }, words("window: none", width / 2, "middle"));
  const [opens, closes] = [window.earliest, window.latest].map(cablesOf);
  if (closes > range.to || opens < range.from) return outside(opens, closes, closes > range.to, { left, right });
  const inside = { opens: opens <= range.to, closes: closes >= range.from };
  const x0 = inside.opens ? xOf(opens) : left;
  const x1 = inside.closes ? xOf(closes) : right;
  const [top, bottom] = [LABEL, LABEL + BAR];
  const said = (word, cables) => `${word} ${nmText(Math.abs(cables))}${cables < 0 ? " past" : ""}`;
  const [first, second] = [`${inside.opens ? "" : "< "}${said("opens", opens)}`, `${said("closes", closes)}${inside.closes ? "" : " >"}`];
  const [w0, w1] = [textWidth(first), textWidth(second)];
  const apart = x1 - x0 >= w0 + w1 + 12;
  const middle = Math.min(Math.max((x0 + x1) / 2, w0 + 10), width - w1 - 10);
  const word = textWidth("window");
  const wordX = x1 - x0 > word + 8 ? (x0 + x1) / 2 : width - x1 > word + 12 ? x1 + 8 + word / 2 : x0 - 8 - word / 2;
  return svg("g", { "data-testid": "window-bar", "data-opens": opens, "data-closes": closes, "data-x0": x0, "data-x1": x1 },
    svg("rect", { x: x0, y: top, width: Math.max(x1 - x0, 1), height: BAR, class: "window-fill" }),
    svg("path", { d: `M${x0} ${top}H${x1}M${x0} ${bottom}H${x1}`, class: "window-edge" }),
    [[inside.opens, x0], [inside.closes, x1]].filter(([there]) => there).map(([, x]) => svg("line", { x1: x, x2: x, y1: top - 2, y2: bottom + 4, class: "window-stop" })),
    svg("text", { x: wordX, y: top + BAR - 5 * TEXT_SCALE, "text-anchor": "middle" }, "window"),
    apart ? [words(first, x0, "start"), words(second, x1, "end")] : [words(first, middle - 6, "end"), words(second, middle + 6, "start")]);
}
