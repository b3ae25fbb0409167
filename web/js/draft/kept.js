/**
 * What this browser keeps for a plan: edits the server has not taken yet, and the raw rows of holes,
 * for which a plan has no place.
 */

const SAME = { as: "stored" };

const editsKey = (id) => `wheelover.edits.${id}`;
const rowsKey = (id) => `wheelover.rows.${id}`;

/** Dangers can be large: those that are the stored ones are kept as a mark. */
function packed(inputs, stored) {
  return inputs.hazards && inputs.hazards === stored.hazards ? { ...inputs, hazards: SAME } : inputs;
}

function unpacked(inputs, stored) {
  return inputs.hazards?.as === SAME.as ? { ...inputs, hazards: stored.hazards } : inputs;
}

/** Keeps the edits; returns the reason when the browser could not, so that it can be said. */
export function keepEdits(id, base, edits) {
  try {
    if (edits.length === 0) localStorage.removeItem(editsKey(id));
    else localStorage.setItem(editsKey(id), JSON.stringify({ base: packed(base, base), edits: edits.map((one) => packed(one, base)) }));
    return null;
  } catch (error) {
    return error.message;
  }
}

/** The edits kept for a plan, or null. `stored` is the plan as the server has it. */
export function keptEdits(id, stored) {
  const text = localStorage.getItem(editsKey(id));
  if (!text) return null;
  const { base, edits } = JSON.parse(text);
  return { base: unpacked(base, stored), edits: edits.map((one) => unpacked(one, stored)) };
}

export function keepRows(id, rows) {
  if (Object.keys(rows).length === 0) return;
  try {
    localStorage.setItem(rowsKey(id), JSON.stringify(rows));
  } catch (error) {
    console.info(`Raw rows of holes are not kept: ${error.message}`); // the holes themselves are in the plan
  }
}

export function keptRows(id) {
  return JSON.parse(localStorage.getItem(rowsKey(id)) || "{}");
}

const shipKey = (id) => `wheelover.ship.${id}`;

/** Keeps a ship that cannot be stored yet, {form, extra, missing}, or with null forgets it. */
export function keepShip(id, ship) {
  try {
    if (ship) localStorage.setItem(shipKey(id), JSON.stringify(ship));
    else localStorage.removeItem(shipKey(id));
    return null;
  } catch (error) {
    return error.message;
  }
}

export function keptShip(id) {
  return JSON.parse(localStorage.getItem(shipKey(id)) || "null");
}
