/** Numbers to text, and nothing else: no value is computed here that the service did not send. */

const METRES_PER_NM = 1852;
const THIN_SPACE = "\u2009";
const STEPS_PER_DEGREE = 60000; // thousandths of a minute

/** Whether the service sent a number. */
export function known(value) {
  return typeof value === "number" && Number.isFinite(value);
}

function padded(value, width) {
  return String(value).padStart(width, "0");
}

/** Thin spaces between thousands, so that long numbers can be read at a glance. */
export function grouped(text) {
  const [whole, part] = text.split(".");
  const spaced = whole.replace(/\B(?=(\d{3})+(?!\d))/g, THIN_SPACE);
  return part === undefined ? spaced : `${spaced}.${part}`;
}

/** One angle as DD-MM.mmm; rounded as a whole first, so that 59.9996 minutes carries into the degree. */
function angle(value_deg, width) {
  const steps = Math.round(Math.abs(value_deg) * STEPS_PER_DEGREE);
  const degrees = Math.floor(steps / STEPS_PER_DEGREE);
  const minutes = (steps - degrees * STEPS_PER_DEGREE) / 1000;
  return { text: `${padded(degrees, width)}-${minutes.toFixed(3).padStart(6, "0")}`, zero: steps === 0 };
}

export function latitudeText(lat_deg) {
  const { text, zero } = angle(lat_deg, 2);
  return text + (lat_deg < 0 && !zero ? "S" : "N");
}

export function longitudeText(lon_deg) {
  const { text, zero } = angle(lon_deg, 3);
  return text + (lon_deg < 0 && !zero ? "W" : "E");
}

/** A position as DD-MM.mmmN DDD-MM.mmmE. */
export function positionText(position) {
  return `${latitudeText(position.lat_deg)} ${longitudeText(position.lon_deg)}`;
}

/** A course in three figures; 359.6 is 000, never 360. */
export function courseText(course_deg) {
  return padded(((Math.round(course_deg) % 360) + 360) % 360, 3);
}

/** A fixed number of decimals, rounded to nearest. */
export function decimals(value, count) {
  const text = Math.abs(value).toFixed(count);
  return (value < 0 && Number(text) !== 0 ? "\u2212" : "") + grouped(text);
}

export const nmText = (value) => decimals(value, 2);
export const oneDecimal = (value) => decimals(value, 1);

/** Metres: whole, one decimal under ten. */
export function metresText(value) {
  return decimals(value, Math.abs(value) < 10 ? 1 : 0);
}

/** Rounds one way before writing; a nudge keeps 7.1 from becoming 7.0 by binary fractions. */
function directed(value, round, nudge) {
  const scale = Math.abs(value) < 10 ? 10 : 1;
  return metresText(round(value * scale + nudge) / scale);
}

/** What is left over is rounded down: never more room than there is. */
export const metresLeftText = (value) => directed(value, Math.floor, 1e-6);

/** A distance before a place, rounded to where she comes first. */
export const nmEarlyText = (value) => nmText(Math.ceil(value * 100 - 1e-6) / 100);

/** What is required or missing is rounded up. */
export const metresNeededText = (value) => directed(value, Math.ceil, -1e-6);

/** Metres shown in nautical miles: a change of unit of the number sent, not a new distance. */
export function metresInNm(value_m) {
  return value_m / METRES_PER_NM;
}

/** A number of unknown kind (basis, findings): no needless zeros. */
export function plainText(value, places = 6) {
  if (!known(value)) return String(value);
  return Number.isInteger(value) ? decimals(value, 0) : decimals(value, places).replace(/\.?0+$/, "");
}

/** Minutes and seconds for a duration given in seconds, kept in seconds below two minutes. */
export function secondsText(value_s) {
  return decimals(value_s, 0);
}

/** Port and starboard in the short form of the ledger. */
export function sideText(side) {
  return side === "starboard" ? "stbd" : side || "";
}

/** Waypoint numbers are places in the list: 01, 02, ... */
export function numberText(index) {
  return padded(index + 1, 2);
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** A UTC time as it is stored, as "25 Nov 2025 14:02Z". */
export function dateText(utc) {
  return `${utc.slice(8, 10)} ${MONTHS[Number(utc.slice(5, 7)) - 1]} ${utc.slice(0, 4)} ${utc.slice(11, 16)}Z`;
}

/** Nautical miles shown in cables: a change of unit of the number sent. */
export function nmInCables(value_nm) {
  return value_nm * 10;
}

/** Nautical miles shown in metres: a change of unit of the number sent. */
export function nmInMetres(value_nm) {
  return value_nm * METRES_PER_NM;
}

/** The time of day in UTC. */
export function utcText(date) {
  return `${date.toISOString().slice(11, 19)}Z`;
}

export function sizeText(bytes) {
  return bytes < 1000 ? `${bytes} B` : `${decimals(bytes / 1000, 1)} kB`;
}

/** A file name made of a route name: only letters, digits, dash and underline survive. */
export function fileStem(name) {
  return String(name || "").replace(/[^A-Za-z0-9_-]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 80) || "route";
}

/** "14", "14 and 17", "14, 17 and 19". */
export function listText(items) {
  return items.length < 2 ? items.join("") : `${items.slice(0, -1).join(", ")} and ${items[items.length - 1]}`;
}

/** "1 row", "2 rows". */
export function countText(count, one, many = `${one}s`) {
  return `${count} ${count === 1 ? one : many}`;
}
