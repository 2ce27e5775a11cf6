/** A stable id of a file, by which corrections find their clip again after a reload. */

const PIECE_BYTES = 2 ** 20;

/**
 * SHA-256 (FIPS 180-4), in hex, of the file's size (8 bytes, little-endian), its first MiB and its last MiB. The name
 * doesn't count, so that a renamed copy keeps its corrections; a file of less than 2 MiB is read once or, where the
 * pieces overlap, in part twice.
 */
export async function fingerprint(file: Blob): Promise<string> {
  const size = new DataView(new ArrayBuffer(8));
  size.setBigUint64(0, BigInt(file.size), true);
  const first = file.slice(0, PIECE_BYTES);
  const last = file.slice(Math.max(0, file.size - PIECE_BYTES));
  const bytes = await new Blob([size, first, last]).arrayBuffer();
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
