/** What an MP4 or MOV file's boxes say that the demuxer doesn't pass on (ISO/IEC 14496-12). */

interface Box {
  readonly type: string;
  readonly start: number;
  readonly end: number;
}

/** One edit of the video track; mediaS is null for an empty edit (a wait). */
export interface Edit {
  readonly durationS: number;
  readonly mediaTime: number | null;
  readonly rate: number;
}

export interface Movie {
  /** Edits of the first video track, in order; none where it has no edit list. */
  readonly edits: readonly Edit[];
}

/** Index boxes of hour-long clips stay far below this. */
const LARGEST_MOOV_BYTES = 256 * 2 ** 20;

export const isIsobmff = (head: Uint8Array): boolean =>
  ['ftyp', 'moov', 'mdat', 'wide', 'free', 'skip'].includes(ascii(head, 4));

const ascii = (bytes: Uint8Array, at: number, length = 4): string =>
  String.fromCharCode(...bytes.subarray(at, at + length));

function boxAt(view: DataView, at: number, start: number, end: number): Box | null {
  if (at + 8 > view.byteLength) return null;
  const type = String.fromCharCode(...[4, 5, 6, 7].map((i) => view.getUint8(at + i)));
  const short = view.getUint32(at);
  if (short === 0) return { type, start: start + 8, end };
  if (short !== 1) return short < 8 ? null : { type, start: start + 8, end: start + short };
  if (at + 16 > view.byteLength) return null;
  const long = Number(view.getBigUint64(at + 8));
  return long < 16 ? null : { type, start: start + 16, end: start + long };
}

function children(view: DataView, parent: Box): Box[] {
  const found: Box[] = [];
  let at = parent.start;
  while (at + 8 <= parent.end) {
    const box = boxAt(view, at, at, parent.end);
    if (!box || box.end > parent.end) break;
    found.push(box);
    at = box.end;
  }
  return found;
}

const childOf = (view: DataView, parent: Box | undefined, type: string): Box | undefined =>
  parent && children(view, parent).find((box) => box.type === type);

async function findMoov(file: Blob): Promise<DataView | null> {
  let at = 0;
  while (at + 8 <= file.size) {
    const head = new DataView(await file.slice(at, at + 16).arrayBuffer());
    const box = boxAt(head, 0, at, file.size);
    if (!box) return null;
    if (box.type === 'moov') {
      if (box.end > file.size || box.end - box.start > LARGEST_MOOV_BYTES) return null;
      return new DataView(await file.slice(box.start, box.end).arrayBuffer());
    }
    at = box.end;
  }
  return null;
}

function timescale(view: DataView, mvhd: Box | undefined): number {
  if (!mvhd) return 0;
  const version = view.getUint8(mvhd.start);
  return view.getUint32(mvhd.start + (version === 1 ? 20 : 12));
}

function isVideo(view: DataView, trak: Box): boolean {
  const hdlr = childOf(view, childOf(view, trak, 'mdia'), 'hdlr');
  if (!hdlr) return false;
  return String.fromCharCode(...[8, 9, 10, 11].map((i) => view.getUint8(hdlr.start + i))) === 'vide';
}

function editsOf(view: DataView, trak: Box, perSecond: number): Edit[] {
  const elst = childOf(view, childOf(view, trak, 'edts'), 'elst');
  if (!elst) return [];
  const long = view.getUint8(elst.start) === 1;
  const bytes = long ? 20 : 12;
  const edits: Edit[] = [];
  for (let i = 0, at = elst.start + 8; i < view.getUint32(elst.start + 4); i++, at += bytes) {
    if (at + bytes > elst.end) break;
    const duration = long ? Number(view.getBigUint64(at)) : view.getUint32(at);
    const media = long ? Number(view.getBigInt64(at + 8)) : view.getInt32(at + 4);
    const rate = view.getInt32(at + bytes - 4) / 65536;
    edits.push({ durationS: duration / perSecond, mediaTime: media < 0 ? null : media, rate });
  }
  return edits;
}

/**
 * Reads a file's index; null where there is none, which is what a recording that was cut off looks like.
 * @throws what Blob.arrayBuffer throws where the file can't be read.
 */
export async function readMovie(file: Blob): Promise<Movie | null> {
  const view = await findMoov(file);
  if (!view) return null;
  const moov: Box = { type: 'moov', start: 0, end: view.byteLength };
  const perSecond = timescale(view, childOf(view, moov, 'mvhd'));
  const trak = children(view, moov).find((box) => box.type === 'trak' && isVideo(view, box));
  return { edits: trak && perSecond > 0 ? editsOf(view, trak, perSecond) : [] };
}

/**
 * Where the one stretch that the edit list shows ends, in presentation seconds (it begins at the waits before it).
 * Infinity where nothing is hidden at the end; null where the list is more than one stretch at normal speed.
 */
export function editEndS(edits: readonly Edit[]): number | null {
  const shown = edits.filter((edit) => edit.mediaTime !== null);
  const [only] = shown;
  if (!only) return Infinity;
  if (shown.length > 1 || only.rate !== 1 || edits.indexOf(only) !== edits.length - 1) return null;
  // A fragmented file writes 0: as long as the fragments go on.
  if (only.durationS === 0) return Infinity;
  return edits.reduce((sum, edit) => sum + edit.durationS, 0);
}
