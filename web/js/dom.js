/**
 * Builds elements. Text always goes in as text nodes: a waypoint name or a message of the service
 * can never become markup.
 */

const SVG = "http://www.w3.org/2000/svg";

/** Puts attributes on a node; `on` holds listeners, null and false leave an attribute out. */
function dress(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "on") {
      for (const [event, listener] of Object.entries(value)) node.addEventListener(event, listener);
    } else if (value !== null && value !== undefined && value !== false) {
      node.setAttribute(name, value === true ? "" : String(value));
    }
  }
  return node;
}

/** Appends children, leaving out empty ones, so that callers may write `condition && child`. */
function fill(node, children) {
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false || child === "") continue;
    node.append(child);
  }
  return node;
}

/** An HTML element. */
export function el(tag, attributes = {}, ...children) {
  return fill(dress(document.createElement(tag), attributes), children);
}

/** An SVG element. */
export function svg(tag, attributes = {}, ...children) {
  return fill(dress(document.createElementNS(SVG, tag), attributes), children);
}

/** Replaces everything in `host`. */
export function replace(host, ...children) {
  host.replaceChildren();
  return fill(host, children);
}

/** Shows or hides. */
export function show(node, visible) {
  node.hidden = !visible;
}

/** A table in a box of its own that scrolls sideways, so that the page never has to. */
export function tableBox(label, table) {
  return el("div", { class: "table-box", role: "region", "aria-label": label, tabindex: "0" }, table);
}

/** Saves a file. The object address is let go a little later, once the download has begun. */
export function saveBlob(fileName, blob) {
  const address = URL.createObjectURL(blob);
  const link = el("a", { href: address, download: fileName, hidden: true });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
}
