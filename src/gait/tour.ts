import { HOOF, type Limb, type PointName } from '../points.ts';
import type { PointCorrection, Track } from '../track/types.ts';
import { quadrature } from './statistics.ts';
import { middleS, standsS, type TourPrint, type ValueH } from './tourGround.ts';
import { lineGround } from './tourLine.ts';
import { sideGround } from './tourSide.ts';
import type { LinePass, SidePass } from './types.ts';

/** Where a hoof's point, put right by hand, is expected to narrow the interval of a measure. */
export interface TourPlace {
  /** Of a frame of the track in which the hoof stands and is seen. */
  readonly timeS: number;
  readonly limb: Limb;
  readonly point: PointName;
  /** By how much half the interval is expected to become narrower: withers heights, and as a share of it. */
  readonly gainH: number;
  readonly gainShare: number;
}

/** No more points are asked for in one round. */
export const LONGEST_TOUR = 3;
/**
 * An interval is too wide where half of it is more than this: about 5 cm of a horse of 1.62 m. A whole one then spans a
 * class of judged overtrack, 10 cm (judging grid of the French sport-horse breeders, GFE, criterion "walk"), so that the
 * value could lie in either of two. For widths seen from before and behind: common practice, no source.
 */
export const WIDE_H = 0.03;
/** About half a centimetre: what rounding to the centimetre, as overtracks are told, may hide is not worth a correction. */
export const LEAST_GAIN_H = 0.003;
/**
 * Prints of a horse and how they are seen differ by about .012 H (the core's usual variation and errors of a stance); twice
 * that is no error yet.
 */
export const USUAL_STRAY_H = 0.025;

/**
 * Up to three places at which a hoof put right by hand helps most, the most helpful first: the overtrack of a side pass,
 * the base widths and hind on fore of a pass away or back. None where the interval is narrow enough, where no print is
 * off by more than usual, or where putting it right would change nothing. What was put right already is not asked for.
 *
 * The interval of a mean over strides is made of their spread, of the usual variation and of errors that all prints share.
 * A hand can only make the spread smaller. So each print that lies off is thought to lie where the rest of the pass puts
 * it, the interval is worked out again, and the one that narrows it most is told; then the next, with that one put right.
 * An interval that knows nothing of an error counts as wider by as much as the value would move.
 *
 * A real step unlike the others looks the same: a place is one to look at, and may be right as it is.
 */
export function correctionTour(
  track: Track,
  pass: SidePass | LinePass,
  corrections: readonly PointCorrection[],
): TourPlace[] {
  const ground = pass.kind === 'side' ? sideGround(track, pass) : lineGround(track, pass);
  if (!ground) return [];
  const { prints, measured } = ground;
  const waiting = new Set(
    [...prints.keys()].filter((i) => {
      const print = prints[i];
      return print && Math.abs(print.strayH) > USUAL_STRAY_H && !isByHand(print, corrections);
    }),
  );
  const places: TourPlace[] = [];
  let back: readonly number[] = prints.map(() => 0);
  while (places.length < LONGEST_TOUR) {
    const before = measured(back);
    const [best] = [...waiting]
      .map((i) => ({ i, ...gainOf(before, measured(back.with(i, prints[i]?.strayH ?? 0))) }))
      .sort((a, b) => b.gainH - a.gainH);
    const print = best && prints[best.i];
    if (!print || best.gainH < LEAST_GAIN_H) break;
    const { i, gainH, gainShare } = best;
    waiting.delete(i);
    back = back.with(i, print.strayH);
    places.push({
      timeS: bestFrameS(track, print),
      limb: print.limb,
      point: HOOF[print.limb],
      gainH,
      gainShare,
    });
  }
  return places;
}

const isByHand = ({ limb, fromS, toS }: TourPrint, corrections: readonly PointCorrection[]): boolean =>
  corrections.some(({ point, timeS }) => point === HOOF[limb] && timeS >= fromS && timeS <= toS);

/** Of the measure that gains most. */
function gainOf(
  before: readonly (ValueH | null)[],
  after: readonly (ValueH | null)[],
): { gainH: number; gainShare: number } {
  const gains = before.flatMap((was, k) => {
    const is = after[k];
    if (!was || !is || was.half < WIDE_H) return [];
    const gainH = quadrature(was.half, is.value - was.value) - is.half;
    return [{ gainH, gainShare: gainH / was.half }];
  });
  return gains.sort((a, b) => b.gainH - a.gainH)[0] ?? { gainH: 0, gainShare: 0 };
}

/**
 * The frame in which a correction reaches most of the stance: near its middle, as what it shows is forgotten with time
 * both ways (bias.ts), and one in which the hoof was seen as surely as in any near it.
 */
function bestFrameS(track: Track, print: TourPrint): number {
  const [from, to] = standsS(print);
  const atS = middleS(print);
  const cost = (i: number): number => {
    const p = track.points[HOOF[print.limb]][i];
    const away = Math.abs((track.timesS[i] ?? 0) - atS) / (to - from);
    return away + (p?.source === 'network' ? 1 - p.score : 1);
  };
  const inside = [...track.timesS.keys()].filter((i) => {
    const t = track.timesS[i] ?? 0;
    return t >= from && t <= to;
  });
  const [first = 0] = inside;
  const best = inside.reduce((one, i) => (cost(i) < cost(one) ? i : one), first);
  return track.timesS[best] ?? atS;
}
