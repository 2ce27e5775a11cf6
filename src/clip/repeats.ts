/** Slowed-down and converted clips show one picture several times over: it tells nothing new. */
import type { GrayPicture } from './types.ts';

/**
 * Coding the same picture twice changes its shrunk luma by 1 or 2 grey levels; a hoof or leg that moves by half a
 * pixel changes some by ten and more.
 */
const MOST_GRAY = 4;

/** True where two pictures are one and the same but for the coding. */
export function isSamePicture(a: GrayPicture, b: GrayPicture): boolean {
  if (a.widthPx !== b.widthPx || a.heightPx !== b.heightPx) return false;
  const [one, other] = [a.data, b.data];
  for (let i = 0; i < one.length; i++) {
    const off = (one[i] as number) - (other[i] as number);
    if (off > MOST_GRAY || off < -MOST_GRAY) return false;
  }
  return true;
}
