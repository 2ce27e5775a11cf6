/** Pinhole geometry of a straight path past a still camera. */

export const degrees = (radians: number): number => (radians * 180) / Math.PI;

/** Relative error of a length read with the scale of a plane that lies off by `offset`; both in one unit. */
export const wrongPlane = (offset: number, distance: number): number => offset / distance;

/** The path seen by the camera. All px are of the still frame, F forward from the picture's centre. */
export interface PathView {
  /** Height at the withers, px, where the withers stood on average, and that place. */
  readonly heightPx: number;
  readonly atForwardPx: number;
  /** Change of that height per px forward, and of that change: a path needn't be quite straight. */
  readonly slope: number;
  readonly curve: number;
  readonly focalPx: number;
}

export function heightAt(view: PathView, forwardPx: number): number {
  const from = forwardPx - view.atForwardPx;
  const height = view.heightPx + view.slope * from + view.curve * from * from;
  return Math.max(height, 0.2 * view.heightPx);
}

const slopeAt = (view: PathView, forwardPx: number): number =>
  view.slope + 2 * view.curve * (forwardPx - view.atForwardPx);

/** tan of the angle of the path to the picture plane at a place; positive when the horse goes away from the camera. */
export function tanObliquity(view: PathView, forwardPx: number): number {
  const slope = slopeAt(view, forwardPx);
  const atAxis = heightAt(view, forwardPx) - slope * forwardPx;
  return -(slope * view.focalPx) / Math.max(atAxis, 0.2 * view.heightPx);
}

/**
 * Withers heights along the path per px. A place is F / h sideways and f / h deep (in withers heights), so a step is
 * the root of both changes squared. For a straight path this is h(F) = (f H / Z0)(1 - F tan a / f).
 */
export function alongPerPx(view: PathView, forwardPx: number): number {
  const h = heightAt(view, forwardPx);
  const slope = slopeAt(view, forwardPx);
  return Math.hypot(h - forwardPx * slope, view.focalPx * slope) / (h * h);
}

/** Place along the path in withers heights from the camera's axis: alongPerPx summed up (Simpson's rule). */
export function alongH(view: PathView, forwardPx: number): number {
  const steps = 32;
  const step = forwardPx / steps;
  let sum = 0;
  for (let i = 0; i <= steps; i++) {
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * alongPerPx(view, i * step);
  }
  return (sum * step) / 3;
}
