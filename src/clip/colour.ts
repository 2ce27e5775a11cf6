/** Which matrix turns a clip's luma and chroma into RGB, told the same way for every decoder. */
import type { Picture } from './types.ts';

export type Matrix = Picture['matrix'];

/**
 * Names of ITU-T H.273 matrices as WebCodecs and ffmpeg write them. Wide-gamut BT.2020 is taken as BT.709: its
 * luma weights are closer to it (0.2627/0.6780/0.0593 against 0.2126/0.7152/0.0722).
 */
const MATRICES: Readonly<Record<string, Matrix>> = {
  bt709: 'bt709',
  'bt2020-ncl': 'bt709',
  bt2020nc: 'bt709',
  bt2020c: 'bt709',
  bt470bg: 'bt601',
  smpte170m: 'bt601',
  fcc: 'bt601',
};

/**
 * @param tagged What the file says, if anything. Untagged clips are guessed by height as broadcasters do (common
 *   practice, no source): 720 lines and more are BT.709, fewer are BT.601.
 * @param codedHeightPx Before the container's rotation.
 */
export function matrixOf(tagged: string | null | undefined, codedHeightPx: number): Matrix {
  return MATRICES[tagged ?? ''] ?? (codedHeightPx >= 720 ? 'bt709' : 'bt601');
}
