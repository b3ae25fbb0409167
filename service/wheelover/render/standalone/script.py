"""What the page does by itself: it draws shapes that the plan gives and switches layers.

It computes no course, distance or time; the grid and the place under the pointer are read off the
map's own projection. Texts go in as text, never as markup.
"""

SCRIPT = r"""
"use strict";
const SVG = "http://www.w3.org/2000/svg";
const UNITS = 10000000;
const MINUTES = [
  0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 900,
  1800,
];
function part(name, attributes, text) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  if (text !== undefined) node.textContent = text;
  return node;
}

function drawing(name, attributes) {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}

/** Lines come as steps in whole units, longitude and latitude in turn. */
function unpacked(steps) {
  if (Array.isArray(steps[0])) return steps.map(unpacked);
  const places = [];
  let [lon, lat] = [0, 0];
  for (let i = 0; i < steps.length; i += 2) {
    lon += steps[i];
    lat += steps[i + 1];
    places.push([lon / UNITS, lat / UNITS]);
  }
  return places;
}

function geometry({ type, steps, geometries }) {
  if (geometries) return { type, geometries: geometries.map(geometry) };
  const places = unpacked(steps);
  if (type === "Point") return { type, coordinates: places[0] };
  return { type, coordinates: type === "MultiPoint" ? places.flat() : places };
}

/** The sign of a point, with its letters beside it. */
function icon(classes, label, sign) {
  const box = drawing("svg", { viewBox: "-11 -11 22 22", "aria-hidden": "true" });
  box.append(drawing("path", { d: sign, class: `sign ${classes}` }));
  const html = part("div", {});
  html.append(box);
  if (label) html.append(part("span", {}, label));
  const layer = classes.split(" ")[0].slice("layer-".length);
  return L.divIcon({ className: `point of-${layer}`, iconSize: [0, 0], html });
}

/** What is said of a feature: its row of the table, head by head. */
function told(row) {
  const heads = [...row.closest("table").querySelectorAll("thead th")];
  const list = part("dl", {});
  [...row.cells].forEach((one, number) => {
    const text = one.textContent;
    if (text) list.append(part("dt", {}, heads[number].textContent), part("dd", {}, text));
  });
  const box = part("div", {});
  const button = part("button", { type: "button", class: "show-row" }, "Show in the table");
  button.addEventListener("click", () => showRow(row));
  box.append(list, button);
  return box;
}

function showRow(row) {
  document.querySelectorAll("tr.is-chosen").forEach((one) => one.classList.remove("is-chosen"));
  row.closest("details").open = true;
  row.classList.add("is-chosen");
  row.scrollIntoView({ block: "center" });
}

function degrees(minutes, step, width, letters) {
  const places = step >= 1 ? 0 : step >= 0.1 ? 1 : step >= 0.01 ? 2 : 3;
  const scale = 10 ** places;
  const total = Math.round(Math.abs(minutes) * scale);
  const whole = Math.floor(total / (60 * scale));
  const left = ((total - whole * 60 * scale) / scale).toFixed(places);
  const rest = left.padStart(places ? 3 + places : 2, "0");
  return `${String(whole).padStart(width, "0")}-${rest}${letters[minutes < 0 ? 1 : 0]}`;
}

const wrapped = (minutes) => ((((minutes + 10800) % 21600) + 21600) % 21600) - 10800;

/** Latitude and longitude; a minute of latitude is a nautical mile, and the scale of the map. */
function drawGrid(map, group, renderer) {
  group.clearLayers();
  const bounds = map.getBounds();
  const size = map.getSize();
  if (!size.x || !size.y) return;
  const label = (at, text, left, top) => {
    const html = part("span", {}, text);
    html.style.left = `${left}px`;
    html.style.top = `${top}px`;
    const icon = L.divIcon({ className: "grid-label", iconSize: [0, 0], html });
    const still = { interactive: false, keyboard: false, pane: "behind" };
    group.addLayer(L.marker(at, { icon, ...still }));
  };
  const each = (from, to, pixels, draw) => {
    const step = MINUTES.find((one) => (one / ((to - from) * 60)) * pixels >= 110) ?? 1800;
    const first = Math.ceil((from * 60) / step);
    for (let n = first; n * step <= to * 60 && n < first + 40; n += 1) draw(n * step, step);
  };
  const style = { className: "grid-line", interactive: false, renderer };
  const line = (points) => group.addLayer(L.polyline(points, style));
  const [south, north] = [Math.max(bounds.getSouth(), -85), Math.min(bounds.getNorth(), 85)];
  each(south, north, size.y, (minutes, step) => {
    line([[minutes / 60, bounds.getWest()], [minutes / 60, bounds.getEast()]]);
    label([minutes / 60, bounds.getEast()], degrees(minutes, step, 2, "NS"), -84, -12);
  });
  each(bounds.getWest(), bounds.getEast(), size.x, (minutes, step) => {
    line([[bounds.getSouth(), minutes / 60], [bounds.getNorth(), minutes / 60]]);
    label([bounds.getSouth(), minutes / 60], degrees(wrapped(minutes), step, 3, "EW"), -36, -26);
  });
}

function drawCoast(map, coast, renderer) {
  if (!coast) return;
  const [west, south, east, north] = coast.frame;
  const style = { interactive: false, renderer, smoothFactor: 0.3 };
  L.rectangle([[south, west], [north, east]], { ...style, className: "coast-frame" }).addTo(map);
  const rings = coast.rings.map((ring) => unpacked(ring).map(([lon, lat]) => [lat, lon]));
  L.polygon(rings, { ...style, className: "coast" }).addTo(map);
}

function drawLayer(group, { sign, features }, number, renderer) {
  features.forEach(({ classes, label, shape }, place) => {
    const row = document.getElementById(`row-${number}-${place}`);
    L.geoJSON(geometry(shape), {
      style: { renderer, className: `drawn ${classes}` },
      pointToLayer: (_, at) => {
        const words = { alt: label || "point", title: label };
        return L.marker(at, { icon: icon(classes, label, sign), ...words });
      },
      onEachFeature: (_, one) => one.bindPopup(() => told(row), { maxWidth: 340 }),
    }).addTo(group);
  });
}

function startSwitches(map, groups) {
  document.querySelectorAll("input[data-layer]").forEach((box) => {
    const group = groups[Number(box.dataset.layer)];
    box.checked = map.hasLayer(group);
    box.addEventListener("change", () => (box.checked ? group.addTo(map) : group.remove()));
  });
  document.querySelectorAll("a[data-table]").forEach((link) => {
    const open = () => (document.getElementById(link.dataset.table).open = true);
    link.addEventListener("click", open);
  });
  const lights = [...document.querySelectorAll("button[data-light]")];
  lights.forEach((button) => button.addEventListener("click", () => {
    document.documentElement.dataset.light = button.dataset.light;
    lights.forEach((one) => one.setAttribute("aria-pressed", String(one === button)));
  }));
}

function drawPlan(map, groups) {
  const drawn = JSON.parse(document.getElementById("drawn").textContent);
  map.createPane("behind").style.zIndex = 250;
  const behind = L.svg({ pane: "behind", padding: 0.5 });
  const renderer = L.svg({ padding: 0.5 });
  map.attributionControl.setPrefix(false);
  drawCoast(map, drawn.coast, behind);
  const grid = L.layerGroup().addTo(map);
  const moved = () => {
    drawGrid(map, grid, behind);
    map.getContainer().classList.toggle("is-far", map.getZoom() < 12);
  };
  map.on("moveend resize", moved);
  moved();
  groups.forEach((group, number) => drawLayer(group, drawn.layers[number], number, renderer));
  startSwitches(map, groups);
  const pointer = document.getElementById("pointer");
  map.on("mousemove", ({ latlng }) => {
    const [lat, lon] = [latlng.lat * 60, wrapped(latlng.lng * 60)];
    const place = `${degrees(lat, 0.001, 2, "NS")} ${degrees(lon, 0.001, 3, "EW")}`;
    pointer.textContent = `Under the pointer ${place}, WGS84`;
  });
  document.documentElement.dataset.drawn = "yes";
}
"""
