/** Rows of a file that were not understood keep their place: which waypoint they stand before. */

/** Whether the reader understood a row. */
export function isUnderstood(row) {
  return row.understood !== null && row.understood !== undefined && !row.problem && !row.in_question;
}

/** What each row is called: by its line, and by its number too where rows share a line. */
export function rowNames(report) {
  const counts = new Map();
  report.forEach(({ line }) => counts.set(line, (counts.get(line) || 0) + 1));
  return report.map(({ line }, at) => (counts.get(line) > 1 ? `row ${at + 1}, line ${line}` : `line ${line}`));
}

/** Raw rows by the id of the waypoint they stand before; those behind the last are under "". */
export function holesFrom(answer) {
  const { waypoints } = answer.route;
  const indexes = new Map(waypoints.map((waypoint, index) => [waypoint.id, index]));
  const rows = {};
  let next = 0;
  const names = rowNames(answer.report || []);
  for (const [at, row] of (answer.report || []).entries()) {
    if (isUnderstood(row)) next = indexes.get(row.waypoint_id) + 1;
    else {
      const key = waypoints[next]?.id ?? "";
      rows[key] = [...(rows[key] || []), { line: row.line, called: names[at], raw: row.raw, problem: row.problem }];
    }
  }
  return rows;
}

/** Raw rows by the index they stand before, as far as there is a hole in the route still. */
export function holesOf(inputs, rawRows) {
  const { waypoints } = inputs.route;
  const ids = new Set(waypoints.map((waypoint) => waypoint.id));
  const open = (id) => (rawRows[id] || []).filter((row) => !ids.has(row.filled));
  const holes = new Map();
  waypoints.forEach((waypoint, index) => {
    if (waypoint.gap_before || waypoints[index - 1]?.gap_after) holes.set(index, open(waypoint.id));
  });
  if (waypoints.at(-1)?.gap_after) holes.set(waypoints.length, open(""));
  return holes;
}
