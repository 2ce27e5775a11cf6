/** Bytes that look like noise, the same each time. */
export const random = (bytes: number, seed = 1): Uint8Array => {
  let state = seed;
  return Uint8Array.from({ length: bytes }, () => (state = (state * 48271) % 2147483647) & 255);
};
