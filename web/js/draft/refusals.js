/** Messages beside fields, and when they are over. */

import { difference } from "./difference.js";

/** The JSON pointer in a request of a member of the inputs. */
function pointerOf([head, id, ...rest], inputs) {
  if (head !== "waypoint") return `/${[head, id].filter(Boolean).join("/")}`;
  const index = inputs.route.waypoints.findIndex((waypoint) => waypoint.id === id);
  return `/route/waypoints/${index}/${rest.join("/")}`;
}

/** Messages without those about members that have just been stored with another value. */
export function withoutStored(messages, before, after) {
  const stored = new Set(difference(before, after).map(({ path }) => pointerOf(path, after)));
  const isStored = (pointer) => [...stored].some((one) => pointer === one || pointer.startsWith(`${one}/`));
  return new Map([...messages].filter(([pointer]) => !isStored(pointer)));
}
