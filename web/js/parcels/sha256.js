/** SHA-256 (FIPS 180-4) of bytes. The browser's own needs a secure context, which plain http on a ship's network is not. */

const PRIMES = [];
for (let n = 2; PRIMES.length < 64; n += 1) if (PRIMES.every((prime) => n % prime !== 0)) PRIMES.push(n);
const fraction = (value) => ((value - Math.floor(value)) * 2 ** 32) >>> 0;
const START = PRIMES.slice(0, 8).map((prime) => fraction(Math.sqrt(prime)));
const ROUNDS = Uint32Array.from(PRIMES, (prime) => fraction(Math.cbrt(prime)));

const turned = (word, by) => (word >>> by) | (word << (32 - by));

function block(hash, words) {
  for (let i = 16; i < 64; i += 1) {
    const [a, b] = [words[i - 15], words[i - 2]];
    words[i] = words[i - 16] + (turned(a, 7) ^ turned(a, 18) ^ (a >>> 3)) + words[i - 7] + (turned(b, 17) ^ turned(b, 19) ^ (b >>> 10));
  }
  let [a, b, c, d, e, f, g, h] = hash;
  for (let i = 0; i < 64; i += 1) {
    const one = (h + (turned(e, 6) ^ turned(e, 11) ^ turned(e, 25)) + ((e & f) ^ (~e & g)) + ROUNDS[i] + words[i]) | 0;
    const two = ((turned(a, 2) ^ turned(a, 13) ^ turned(a, 22)) + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + one) | 0, c, b, a, (one + two) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((value, i) => { hash[i] += value; });
}

/** The 32 bytes of the digest. */
export function sha256(bytes) {
  const hash = Uint32Array.from(START);
  const words = new Uint32Array(64);
  const rest = bytes.length % 64;
  const tail = new Uint8Array(rest < 56 ? 64 : 128);
  tail.set(bytes.subarray(bytes.length - rest));
  tail[rest] = 0x80;
  const view = new DataView(tail.buffer);
  view.setUint32(tail.length - 8, Math.floor(bytes.length / 2 ** 29));
  view.setUint32(tail.length - 4, (bytes.length * 8) >>> 0);
  const whole = new DataView(bytes.buffer, bytes.byteOffset, bytes.length - rest);
  const eat = (from, at) => { for (let i = 0; i < 16; i += 1) words[i] = from.getUint32(at + i * 4); block(hash, words); };
  for (let at = 0; at < whole.byteLength; at += 64) eat(whole, at);
  for (let at = 0; at < tail.length; at += 64) eat(view, at);
  const digest = new DataView(new ArrayBuffer(32));
  hash.forEach((value, i) => digest.setUint32(i * 4, value));
  return new Uint8Array(digest.buffer);
}

export const hex = (bytes) => [...bytes].map((one) => one.toString(16).padStart(2, "0")).join("");
export const base64 = (bytes) => btoa(String.fromCharCode(...bytes));
