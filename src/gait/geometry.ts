/** Pinhole geometry of a straight path past a still camera. Angles in degrees at the boundary, lengths in metres. */
const rad = (deg: number): number => (deg * Math.PI) / 180;

/** Relative error of a length along a path turned by `deg` out of the picture plane, read as if it lay in it. */
export const foreshortening = (deg: number): number => Math.cos(rad(deg)) - 1;

/** Local picture scale along an oblique path, relative to an upright path at the same distance; s = metres along the path from the axis. */
export const obliqueScale = (deg: number, distanceM: number, alongM: number): number =>
  (Math.cos(rad(deg)) * distanceM ** 2) / (distanceM + alongM * Math.sin(rad(deg))) ** 2;

/** Relative error of a length measured with the scale of a plane dZ nearer or farther. */
export const wrongPlane = (offsetM: number, distanceM: number): number => offsetM / distanceM;

/** SD of an interval between two moments each read to the frame, s: two uniform errors of +-half a frame. */
export const frameIntervalSdS = (fps: number): number => 1 / (fps * Math.sqrt(6));

/** Strides needed for a 95 % interval of +-error, both relative: (1.96 CV / E)^2, rounded up. */
export const stridesNeeded = (cv: number, error: number): number => Math.ceil(((1.96 * cv) / error) ** 2);

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
