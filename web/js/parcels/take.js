/** Takes a parcel from a file: whole where it is small, else in chunks that can be gone on with after the link dropped. */

import { parcels } from "../api.js";
import { base64, hex, sha256 } from "./sha256.js";

const WHOLE_COUNT = 256 * 1000;

/** What became of it, as the service answers; `progress(sent, all)` counts chunks. */
export async function takeParcel(bytes, progress) {
  if (bytes.length <= WHOLE_COUNT) return parcels.take(bytes);
  const begun = await parcels.begin({ size_count: bytes.length, sha256: hex(sha256(bytes)) });
  let { missing } = begun;
  const { chunks_count: all, chunk_size_count: size } = begun;
  progress(all - missing.length, all);
  for (const number of [...missing]) {
    const chunk = bytes.subarray(number * size, (number + 1) * size);
    ({ missing } = await parcels.chunk(begun.id, number, chunk, base64(sha256(chunk))));
    progress(all - missing.length, all);
  }
  return parcels.finish(begun.id);
}
