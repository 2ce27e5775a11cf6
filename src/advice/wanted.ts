/**
 * How a clip of a side pass is wanted; what falls short of it is said and costed against it.
 *
 * - strides: whole strides of each hoof in the picture
 * - picturesPerS: half the phones' slow motion, and what nearly all phones can
 * - heightPx: height at the withers in the picture. The network looks at a square of about two withers heights
 *   (1.25 times the length of the points, `POINTS_MARGIN` of src/pose/squarePath.ts) that is 320 px wide: a smaller horse
 *   is only blown up for it
 * - distanceH: from the camera to the path, withers heights; 10 m for a horse of 1.65 m
 *
 * Strides and distance: common practice, no source.
 */
export const WANTED = { strides: 3, picturesPerS: 60, heightPx: 160, distanceH: 6 } as const;
