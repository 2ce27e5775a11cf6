/** Exact formulas beside which the core's own are checked. Angles in degrees, lengths in m. */
const rad = (deg: number): number => (deg * Math.PI) / 180;

/** Relative error of a length along a path turned by `deg` out of the picture plane, read as if it lay in it. */
export const foreshortening = (deg: number): number => Math.cos(rad(deg)) - 1;

/** Local picture scale along an oblique path, relative to an upright path at the same distance; s = metres along the path from the axis. */
export const obliqueScale = (deg: number, distanceM: number, alongM: number): number =>
  (Math.cos(rad(deg)) * distanceM ** 2) / (distanceM + alongM * Math.sin(rad(deg))) ** 2;

/** Strides needed for a 95 % interval of +-error, both relative: (1.96 CV / E)^2, rounded up. */
export const stridesNeeded = (cv: number, error: number): number => Math.ceil(((1.96 * cv) / error) ** 2);

/** Circular standard deviation, radians: sqrt(-2 ln R) (Zar, Biostatistical Analysis). */
export const circularSdRad = (resultant: number): number => Math.sqrt(Math.max(0, -2 * Math.log(resultant)));
