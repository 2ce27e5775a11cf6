/**
 * How blurred a horse is in a picture: the SD of the Gaussian that would blur a sharp edge as its edges are, px of the
 * picture itself, however large it is shown to the network. Pure and deterministic; reads a few rows only.
 *
 * At an edge that a Gaussian of SD s has blurred, the picture blurred once more by b has a slope of 1 / sqrt(s^2 + b^2) of
 * the step. From the slopes under two b follows s, whatever the step: Zhuo & Sim 2011, Defocus map estimation from a
 * single image, Pattern Recognition 44:1852. Here both are blurred, lest noise make the slope of the first, and only the
 * strongest edges of each picture count, of which the median is taken: of a smooth coat there is nothing to be told.
 *
 * Edges are crossed along rows, as lengths are read: a blur up and down alone is not seen. A smear of L px along the row
 * counts for .29 - .40 L, between the Gaussian of its SD and that of its slope. (Both sources from memory.)
 */
import type { Box, Picture } from '../clip/types.ts';

export type Luma = Pick<Picture, 'y' | 'widthPx' | 'heightPx'>;

/** The two blurs, px. A coarse one that is much wider would reach the next edge of a thin leg. */
const FINE_PX = 1;
const COARSE_PX = 2.5;
/** Kernels reach so far, and the finest slope may lie so far from where the edge was found. */
const REACH_PX = 8;
const SHIFT_PX = 2;
const TAPS = 2 * REACH_PX + 1;
const PROFILE = TAPS + 2 * SHIFT_PX;

/** Rows that are looked through, and px of the picture in them: what a frame may cost. */
const MOST_ROWS = 32;
const FEWEST_ROWS = 8;
const MOST_LOOKED_PX = 12_000;
/**
 * A blur that is wide in px is looked at in a smaller picture, where it is less so: there it is told from noise, which
 * lifts the slope of a wide edge most, as Elder & Zucker 1998 (IEEE PAMI 20:699) choose the scale of each edge.
 */
const SHRUNK_BY = [1, 2, 4];
const WIDE = 1.8;
/** The strongest edges count; with fewer nothing is told. */
const MOST_EDGES = 64;
const FEWEST_EDGES = 12;
/** Over five px the luma rises or falls by at least this, weights 1, 1, 0, -1, -1: less may be noise. */
const LEAST_STEP = 24;
/** Edges that lean by more than this from upright say less of the row that crosses them. */
const STEEPEST_TAN = 0.5;
/** An edge of the other sign within so many px, with this share of the slope, makes a line of the two: no step. */
const ALONE_PX = 6;
const ALONE_SHARE = 0.3;

const taps = (of: (u: number) => number): Float64Array =>
  Float64Array.from({ length: TAPS }, (_, k) => of(k - REACH_PX));
const bell = (u: number, sdPx: number): number => Math.exp((-u * u) / (2 * sdPx * sdPx));

/** Slope of a profile blurred by a Gaussian, luma a px. */
function slopeKernel(sdPx: number): Float64Array {
  const gain = taps((u) => u * u * bell(u, sdPx)).reduce((a, b) => a + b, 0);
  return taps((u) => (u * bell(u, sdPx)) / gain);
}
function meanKernel(sdPx: number): Float64Array {
  const gain = taps((u) => bell(u, sdPx)).reduce((a, b) => a + b, 0);
  return taps((u) => bell(u, sdPx) / gain);
}
const FINE = slopeKernel(FINE_PX);
const COARSE = slopeKernel(COARSE_PX);
const FINE_MEAN = meanKernel(FINE_PX);

function weighted(kernel: Float64Array, profile: Float64Array, from: number): number {
  let sum = 0;
  for (let k = 0; k < TAPS; k++) sum += (kernel[k] as number) * (profile[from + k] as number);
  return sum;
}

/** Luma whose px are the means of `by` x `by` px of the picture, read where it is needed. */
interface Shrunk {
  readonly picture: Luma;
  readonly by: number;
}

/** A part of row y from px x on, into `out`. */
function readRow(
  { picture: { y: luma, widthPx }, by }: Shrunk,
  x: number,
  y: number,
  out: Float64Array,
): void {
  for (let k = 0, i = (y * widthPx + x) * by; k < out.length; k++, i += by) {
    let sum = 0;
    for (let row = i; row < i + by * widthPx; row += widthPx) {
      for (let j = row; j < row + by; j++) sum += luma[j] as number;
    }
    out[k] = sum / (by * by);
  }
}

interface Edge {
  readonly x: number;
  readonly y: number;
  /** How much the luma changes across it. */
  readonly step: number;
}

/** Where the luma changes most along a row that begins with px x. */
function addEdges(row: Float64Array, x: number, y: number, edges: Edge[]): void {
  const stepAt = (k: number): number =>
    Math.abs(
      (row[k + 2] as number) + (row[k + 1] as number) - (row[k - 1] as number) - (row[k - 2] as number),
    );
  let [before, step] = [0, 0];
  for (let k = 2; k < row.length - 2; k++) {
    const after = stepAt(k);
    if (step >= LEAST_STEP && step > before && step >= after) edges.push({ x: x + k - 1, y, step });
    before = step;
    step = after;
  }
}

/** The strongest of them first. */
function edgesIn(shrunk: Shrunk, box: Box): Edge[] {
  const { picture, by } = shrunk;
  const margin = REACH_PX + SHIFT_PX;
  const within = (from: number, to: number, least: number, most: number): [number, number] => [
    Math.max(least, Math.round(from / by)),
    Math.min(most, Math.round(to / by)),
  ];
  const [left, right] = within(box[0], box[2], margin, Math.floor(picture.widthPx / by) - 1 - margin);
  const [top, bottom] = within(box[1], box[3], 1, Math.floor(picture.heightPx / by) - 2);
  const height = bottom - top + 1;
  if (right - left < TAPS || height < 1) return [];
  const row = new Float64Array(right - left + 1);
  const affordable = Math.max(FEWEST_ROWS, Math.floor(MOST_LOOKED_PX / (row.length * by * by)));
  const rows = Math.min(MOST_ROWS, affordable, height);
  const edges: Edge[] = [];
  for (let r = 0; r < rows; r++) {
    const y = top + Math.floor(((r + 0.5) * height) / rows);
    readRow(shrunk, left, y, row);
    addEdges(row, left, y, edges);
  }
  return edges.sort((a, b) => b.step - a.step);
}

/** The luma across an edge, smoothed over three rows, and how it changes from row to row. */
const across = new Float64Array(PROFILE);
const down = new Float64Array(PROFILE);
const [above, on, below] = [new Float64Array(PROFILE), new Float64Array(PROFILE), new Float64Array(PROFILE)];

function readProfile(shrunk: Shrunk, { x, y }: Edge): void {
  const from = x - REACH_PX - SHIFT_PX;
  [above, on, below].forEach((row, k) => readRow(shrunk, from, y - 1 + k, row));
  for (let k = 0; k < PROFILE; k++) {
    const [a, b, c] = [above[k] as number, on[k] as number, below[k] as number];
    across[k] = (a + 2 * b + c) / 4;
    down[k] = (c - a) / 2;
  }
}

/** Whether the profile is one step about its px `middle`, which has this slope, and not a line. */
function isAlone(middle: number, slope: number): boolean {
  const sign = Math.sign(slope);
  for (let k = middle - ALONE_PX; k <= middle + ALONE_PX; k++) {
    const here = ((across[k + 1] as number) - (across[k - 1] as number)) / 2;
    if (sign * here < -ALONE_SHARE * Math.abs(slope)) return false;
  }
  return true;
}

/** Variance of the blur of one edge, px^2 of the shrunk luma; null where it is no step that stands upright and alone. */
function edgeVariance(shrunk: Shrunk, edge: Edge): number | null {
  readProfile(shrunk, edge);
  let [fine, shift] = [0, 0];
  for (let s = 0; s <= 2 * SHIFT_PX; s++) {
    const slope = weighted(FINE, across, s);
    if (Math.abs(slope) > Math.abs(fine)) [fine, shift] = [slope, s];
  }
  const tan = weighted(FINE_MEAN, down, shift) / fine;
  if (!(Math.abs(tan) < STEEPEST_TAN) || !isAlone(REACH_PX + shift, fine)) return null;
  const ratio = (fine / weighted(COARSE, across, shift)) ** 2;
  if (!(ratio > 1)) return null;
  const alongRow = (COARSE_PX ** 2 - ratio * FINE_PX ** 2) / (ratio - 1);
  // The three rows (variance 1/2) have widened it too; what is left is seen at a slant.
  return (alongRow - tan ** 2 / 2) / (1 + tan ** 2);
}

function shrunkBlurPx(shrunk: Shrunk, box: Box): number | null {
  const found: number[] = [];
  for (const edge of edgesIn(shrunk, box)) {
    const variance = edgeVariance(shrunk, edge);
    if (variance !== null && found.push(variance) === MOST_EDGES) break;
  }
  if (found.length < FEWEST_EDGES) return null;
  const median = found.sort((a, b) => a - b)[found.length >> 1] ?? 0;
  // The means have blurred it too.
  const own = (shrunk.by ** 2 - 1) / 12;
  return Math.sqrt(Math.max(0, median * shrunk.by ** 2 - own));
}

/** Blur of the horse in this box, px of the picture; null where too few edges tell it. */
export function blurPxIn(picture: Luma, box: Box): number | null {
  let blurPx: number | null = null;
  for (const by of SHRUNK_BY) {
    if (blurPx !== null && blurPx < WIDE * (by / 2)) break;
    blurPx = shrunkBlurPx({ picture, by }, box) ?? blurPx;
  }
  return blurPx;
}
