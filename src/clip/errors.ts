/**
 * What can be wrong with a file. The code travels as `Error.name`, as DOMException's does, since that is what
 * survives the way out of a worker; the message names the file and the cause and is meant for the user.
 */
export const CLIP_ERROR_CODES = [
  'empty',
  'unreadable',
  'notAVideo',
  'noPicture',
  'damaged',
  'cannotDecode',
  'decoderMissing',
  'notOpen',
  'noCopy',
] as const;
export type ClipErrorCode = (typeof CLIP_ERROR_CODES)[number];

const CAUSES: Readonly<Record<ClipErrorCode, string>> = {
  empty: 'is empty: it has no bytes in it. Copy it from the phone or camera again.',
  unreadable: 'could not be read. It may have been moved, deleted or unplugged since you chose it.',
  notAVideo: 'is not a video.',
  noPicture: 'has sound but no picture in it.',
  damaged:
    'is damaged: the part that says where its pictures lie is missing. The recording or a copy of it was probably cut off; copy it from the phone or camera again.',
  cannotDecode: 'is a video, but its pictures could not be decoded here.',
  decoderMissing:
    'needs a decoder that this browser does not have, and the one that comes with this page could not be loaded.',
  notOpen: 'is not open.',
  noCopy:
    'is measured, but can’t be shown: the copy that this browser could play failed while it was made. Choose the clip once more, or try another browser.',
};

export class ClipError extends Error {
  override readonly name: ClipErrorCode;

  /** @param detail One more sentence, e.g. which codec it was. */
  constructor(code: ClipErrorCode, fileName: string, detail = '', cause?: unknown) {
    super(`“${fileName}” ${CAUSES[code]}${detail && ` ${detail}`}`, { cause });
    this.name = code;
  }
}

/** The code of an error that came out of the clip reader, on either side of a worker; null for any other. */
export function clipErrorCode(error: unknown): ClipErrorCode | null {
  if (!(error instanceof Error)) return null;
  return CLIP_ERROR_CODES.find((code) => code === error.name) ?? null;
}
