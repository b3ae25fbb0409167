/** Rows of a file that were not understood keep their place: which waypoint they stand before. */

/** Whether the reader understood a row. */
export function isUnderstood(row) {
  return row.understood !== null && row.understood !== undefined && !row.problem && !row.in_question;
}

/** Raw rows by the index of the waypoint they stand before; those behind the last have the index after it. */
export function holesFrom(answer) {
  const holes = new Map();
  const indexes = new Map(answer.route.waypoints.map((waypoint, index) => [waypoint.id, index]));
  let next = 0;
  for (const row of answer.report || []) {
    if (isUnderstood(row)) next = indexes.get(row.waypoint_id) + 1;
    else holes.set(next, [...(holes.get(next) || []), row]);
  }
  return holes;
}
