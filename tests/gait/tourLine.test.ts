/** Which hooves to put right on a way from the camera or back to it: against hooves drawn by lot. */
import { describe, expect, it } from 'vitest';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import { correctionTour, type TourPlace } from '../../src/gait/tour.ts';
import type { LineMeasures, LinePass, Measure } from '../../src/gait/types.ts';
import { HOOF, LIMBS, mirrorName } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame, PointCorrection, Track } from '../../src/track/types.ts';
import { numbers } from '../support/kinematicLaws.ts';
import { mirrored } from '../track/synthetic.ts';
import { lineClip, PICTURE, type Line } from './lineClips.ts';
import { besideBy, some, type Place } from './planted.ts';
import { average, rms, seeds } from './support.ts';

interface Stood extends Place {
  readonly onS: number;
  readonly offS: number;
}
interface Looked {
  readonly track: Track;
  readonly pass: LinePass;
}

function looked(
  frames: readonly ObservedFrame[],
  { truth, withersM }: Line,
  by: readonly PointCorrection[] = [],
): Looked {
  const track = buildTrack(frames, null, by, PICTURE);
  return { track, pass: analyseLinePass(track, truth, withersM) };
}

/** Runs of frames in which a toe hardly moves in the picture, .3 s and more. */
function stoodIn({ frames }: Line): Stood[] {
  return LIMBS.flatMap((limb) => {
    const found: Stood[] = [];
    let from = 0;
    for (let i = 1; i <= frames.length; i++) {
      const [a, b, first] = [frames[i - 1], frames[i], frames[from]];
      const [p, q] = [first?.horse?.points[HOOF[limb]], b?.horse?.points[HOOF[limb]]];
      if (p && q && Math.hypot(p.x - q.x, p.y - q.y) < 12) continue;
      const [onS, offS] = [first?.timeS ?? 0, a?.timeS ?? 0];
      if (offS - onS > 0.3) {
        const middle = frames[Math.round((from + i - 1) / 2)];
        found.push({ limb, onS, offS, timeS: middle?.timeS ?? onS });
      }
      from = i;
    }
    return found;
  });
}

/** Widths and offsets that rest on prints, m. */
const widths = ({ baseWidthForeM, baseWidthHindM, hindOnForeM }: LineMeasures): Measure[] => [
  baseWidthForeM,
  baseWidthHindM,
  hindOnForeM.left,
  hindOnForeM.right,
];
const truths = ({ truth }: Line): (number | null)[] => [
  truth.baseWidthM.fore,
  truth.baseWidthM.hind,
  truth.hindOnForeM.left,
  truth.hindOnForeM.right,
];

function planted(i: number, count: number): { line: Line; frames: ObservedFrame[]; wrong: Stood[] } {
  const line = lineClip(i);
  const random = numbers(70 + i);
  const { startS, endS } = line.truth;
  const inside = stoodIn(line).filter(({ onS, offS }) => onS > startS + 0.3 && offS < endS - 0.3);
  const wrong = some(inside, count, random);
  const byPx = (one: Stood): number => {
    const frame = line.frames.find(({ timeS }) => timeS >= one.timeS);
    const [x0 = 0, y0 = 0, x1 = 0, y1 = 0] = frame?.horse?.box ?? [];
    const heightPx = Math.max(y1 - y0, x1 - x0) * 0.85;
    return (0.04 + 0.06 * random.uniform()) * heightPx * (random.uniform() < 0.5 ? -1 : 1);
  };
  return {
    line,
    wrong,
    frames: besideBy(
      line.frames,
      wrong.map((one) => ({ ...one, byPx: byPx(one) })),
    ),
  };
}

/** A hand that puts hooves where they were seen before the error was planted. */
const putRight = ({ frames }: Line, places: readonly Place[]): PointCorrection[] =>
  places.flatMap(({ timeS, limb }, k) => {
    const at = frames.find((f) => f.timeS === timeS)?.horse?.points[HOOF[limb]];
    return at ? [{ kind: 'point', id: `${k}`, timeS, point: HOOF[limb], x: at.x, y: at.y } as const] : [];
  });

describe('on a way from the camera or back, the hooves to be put right first', () => {
  const runs = seeds(12).map((i) => {
    const { line, frames, wrong } = planted(i, 2);
    const before = looked(frames, line);
    const tour = correctionTour(before.track, before.pass, []);
    const after = (places: readonly Place[]): { errors: number[]; halves: number[] } => {
      const all = widths(looked(frames, line, putRight(line, places)).pass.measures);
      const is = truths(line);
      return {
        errors: all.flatMap((m, k) => ('value' in m ? [100 * (m.value - (is[k] ?? NaN))] : [])),
        halves: all.flatMap((m) => ('value' in m ? [50 * (m.high - m.low)] : [])),
      };
    };
    const inside = stoodIn(line).filter((s) => s.onS > line.truth.startS && s.offS < line.truth.endS);
    return {
      ...{ tour, wrong },
      is: {
        alone: after([]),
        told: after(tour),
        lot: after(some(inside, 3, numbers(i + 999))),
        worst: after(wrong),
      },
    };
  });
  const of = (way: 'alone' | 'told' | 'lot' | 'worst'): { error: number; half: number } => ({
    error: rms(runs.flatMap(({ is }) => is[way].errors)),
    half: average(runs.flatMap(({ is }) => is[way].halves)),
  });
  const asked = runs.flatMap(({ tour, wrong }) => tour.map((place) => ({ place, wrong })));
  const off = asked.filter(({ place, wrong }) =>
    wrong.some((w) => w.limb === place.limb && place.timeS > w.onS - 0.1 && place.timeS < w.offS + 0.1),
  );

  /** Two prints of each .04 - .1 H aside. Measured: RMS errors of widths left alone 1.9, told 1.1, by lot 1.7, worst 1.1 cm. */
  it('bring base widths and hind on fore nearer to the truth than three by lot, and narrow the intervals more', () => {
    const [alone, told, lot, worst] = [of('alone'), of('told'), of('lot'), of('worst')];
    const figures = Object.entries({ alone, told, lot, worst });
    console.log(
      figures
        .map(([way, { error, half }]) => `${way} ${error.toFixed(1)} cm \u00b1 ${half.toFixed(1)}`)
        .join(', '),
    );
    expect(told.error).toBeLessThan(0.75 * lot.error);
    expect(told.error).toBeLessThan(1.2 * worst.error);
    expect(told.half).toBeLessThan(lot.half - 0.2);
    expect(told.half).toBeLessThan(worst.half + 0.2);
  });

  it('are off indeed', () => {
    expect(asked.length).toBeGreaterThanOrEqual(10);
    expect(off.length).toBeGreaterThanOrEqual(0.9 * asked.length);
  });

  it('are none where all is well', () => {
    const tours = seeds(12).map((i): TourPlace[] => {
      const line = lineClip(i);
      const { track, pass } = looked(line.frames, line);
      return correctionTour(track, pass, []);
    });
    expect(tours.flat()).toEqual([]);
  });

  it('are none where no width is given: without a height, or where the ground was lost', () => {
    const { line, frames } = planted(3, 2);
    const { track, pass } = looked(frames, line);
    expect(correctionTour(track, pass, [])).toHaveLength(2);
    expect(correctionTour(track, analyseLinePass(track, line.truth, null), [])).toEqual([]);
    expect(correctionTour({ ...track, groundLost: track.timesS.map(() => true) }, pass, [])).toEqual([]);
  });

  it('are mirrored in a mirrored clip', () => {
    const { line, frames } = planted(3, 2);
    const [plain, turned] = [frames, mirrored(frames, PICTURE.widthPx)].map((seen) => {
      const { track, pass } = looked(seen, line);
      return correctionTour(track, pass, []);
    });
    expect(plain?.length).toBe(2);
    expect(turned?.map(({ timeS, point }) => ({ timeS, point }))).toEqual(
      plain?.map(({ timeS, point }) => ({ timeS, point: mirrorName(point) })),
    );
  });
});
