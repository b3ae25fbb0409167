/** Times of the passage: UTC as it is typed and read. */

const TIME = /^(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2})(:\d{2})?\s*(?:Z|UTC)?$/i;

/** A UTC time as "2026-11-25 14:02" or with T, seconds and Z: {value} or {error}. */
export function readTime(text) {
  const trimmed = text.trim();
  if (trimmed === "") return {};
  const [, day, minutes, seconds] = TIME.exec(trimmed) || [];
  return day ? { value: `${day}T${minutes}${seconds || ":00"}Z` } : { error: "Write a time in UTC like 2026-11-25 14:02." };
}

/** A UTC time of the inputs as it is typed, seconds where there are any. */
export function typedTime(utc) {
  return utc ? utc.replace("T", " ").replace(/(:00)?(\.\d+)?Z$/, "") : "";
}

/** A UTC time of an answer, to the minute or the second. */
export const clockText = (utc, seconds = false) => `${utc.slice(0, seconds ? 19 : 16).replace("T", " ")}Z`;

/** A length of time in hours, minutes and seconds. */
export function spanText(value_s) {
  const whole = Math.round(Math.abs(value_s));
  const parts = [[Math.floor(whole / 3600), "h"], [Math.floor((whole % 3600) / 60), "min"], [whole % 60, "s"]].filter(([count]) => count > 0);
  return parts.map(([count, unit]) => `${count} ${unit}`).join(" ") || "0 s";
}
