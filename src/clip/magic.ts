/** What a file is by its first bytes, as far as that spares loading a decoder to find out. */

export type FileKind = 'video' | 'picture' | 'document' | 'text' | 'unknown';

/** Signatures as in the formats' own specifications; '.' stands for any byte. */
const SIGNATURES: readonly (readonly [FileKind, RegExp])[] = [
  ['picture', /^\xff\xd8\xff/], // JPEG
  ['picture', /^\x89PNG\r\n\x1a\n/],
  ['picture', /^GIF8[79]a/],
  ['picture', /^RIFF[^]{4}WEBP/],
  ['picture', /^[^]{4}ftyp(?:heic|heix|mif1|avif)/],
  ['document', /^%PDF-/],
  ['document', /^PK\x03\x04/], // ZIP and the office formats in it
  ['video', /^[^]{4}(?:ftyp|moov|mdat|wide|free|skip)/], // ISO base media, QuickTime
  ['video', /^\x1a\x45\xdf\xa3/], // Matroska, WebM
  ['video', /^RIFF[^]{4}AVI /],
  ['video', /^FLV\x01/],
  ['video', /^\x30\x26\xb2\x75\x8e\x66\xcf\x11/], // ASF
  ['video', /^\x00\x00\x01[\xba\xb3]/], // MPEG programme stream, elementary stream
  ['video', /^\x47[^]{187}\x47/], // MPEG transport stream
  ['video', /^OggS/],
];

export function kindOf(head: Uint8Array): FileKind {
  const start = String.fromCharCode(...head.subarray(0, 256));
  const found = SIGNATURES.find(([, signature]) => signature.test(start));
  if (found) return found[0];
  return isText(head) ? 'text' : 'unknown';
}

/** True where an AVI file's own header says that it is longer than it is. */
export function isRiffCutShort(head: Uint8Array, sizeBytes: number): boolean {
  if (String.fromCharCode(...head.subarray(0, 4)) !== 'RIFF' || head.length < 8) return false;
  return new DataView(head.buffer, head.byteOffset).getUint32(4, true) + 8 > sizeBytes;
}

/** Valid UTF-8 without control characters other than tab and line ends. */
function isText(head: Uint8Array): boolean {
  try {
    // As a stream: the last character may be cut.
    const text = new TextDecoder('utf-8', { fatal: true }).decode(head, { stream: true });
    return ![...text].some((letter) => letter < ' ' && !'\t\n\r\f'.includes(letter));
  } catch {
    return false;
  }
}
