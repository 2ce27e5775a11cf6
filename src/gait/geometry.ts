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
  /** Change of that height per px forward. */
  readonly slope: number;
  readonly focalPx: number;
}

export const heightAt = (view: PathView, forwardPx: number): number =>
  view.heightPx + view.slope * (forwardPx - view.atForwardPx);

/** tan of the angle of the path to the picture plane; positive when the horse goes away from the camera. */
export const tanObliquity = (view: PathView): number => -(view.slope * view.focalPx) / heightAt(view, 0);

/**
 * Place along the path in withers heights, 0 on the camera's axis: h(F) = (f H / Z0)(1 - F tan a / f), so that
 * s / H = F / (h(F) cos a).
 */
export function alongH(view: PathView, forwardPx: number): number {
  const t = tanObliquity(view);
  return (forwardPx * Math.sqrt(1 + t * t)) / heightAt(view, forwardPx);
}

/** Withers heights per px at a place: the derivative of alongH. */
export function alongPerPx(view: PathView, forwardPx: number): number {
  const t = tanObliquity(view);
  const h = heightAt(view, forwardPx);
  return ((h - forwardPx * view.slope) * Math.sqrt(1 + t * t)) / (h * h);
}
