import { FETLOCK, HOOF } from '../points.ts';
import type { Track } from '../track/types.ts';
import { isMeasured } from './interval.ts';
import { limbAside, printAside, printMeasures } from './lineMeasures.ts';
import { seenLine } from './linePass.ts';
import type { LinePath } from './linePath.ts';
import type { LinePrint } from './lineSteps.ts';
import type { LineData } from './lineView.ts';
import { medianOf } from './statistics.ts';
import { standsS, type TourGround, type ValueH } from './tourGround.ts';
import type { LinePass, Measure } from './types.ts';

/** Base widths and hind on fore of a pass away or back, and the prints that they rest on; null where they were not measured. */
export function lineGround(track: Track, pass: LinePass): TourGround | null {
  const seen = seenLine(track, pass);
  if (typeof seen === 'string' || !onPrints(pass.measures).some(isMeasured)) return null;
  const { data, steps, path } = seen;
  const strays = straysH(data, path, steps.prints);
  return {
    prints: steps.prints.map(({ limb, onS, offS }, i) => ({
      ...{ limb, fromS: onS, toS: offS },
      strayH: strays[i] ?? 0,
    })),
    measured: (backH) => {
      const prints = steps.prints.map((print, i) => movedAside(path, print, -(backH[i] ?? 0)));
      // In withers heights: those of a horse that is 1 m high.
      return onPrints(printMeasures(seen, { ...steps, prints }, { value: 1, sd: 0 })).map(valueOf);
    },
  };
}

const onPrints = ({
  baseWidthForeM,
  baseWidthHindM,
  hindOnForeM,
}: ReturnType<typeof printMeasures>): Measure[] => [
  ...[baseWidthForeM, baseWidthHindM, hindOnForeM.left, hindOnForeM.right],
];

const valueOf = (m: Measure): ValueH | null =>
  isMeasured(m) ? { value: m.value, half: (m.high - m.low) / 2 } : null;

/** A print so far to the left of where it is, H. */
function movedAside(path: LinePath, print: LinePrint, byH: number): LinePrint {
  if (byH === 0) return print;
  const perPx = printAside(path, { ...print, x: print.x + 1 }) - printAside(path, print);
  return { ...print, x: print.x + byH / perPx };
}

/**
 * How far each print lies to the left of where the rest of the pass says that it should, H. Two witnesses: how far aside the
 * other prints of that hoof lie, and how far its toes lie aside of their fetlocks; the more cautious of them counts.
 */
function straysH(data: LineData, path: LinePath, prints: readonly LinePrint[]): number[] {
  const aside = prints.map((print) => printAside(path, print));
  const overFetlock = prints.map((print) => asideOfFetlock(data, path, print));
  return prints.map((print, i) => {
    const [one, other] = [aside, overFetlock].map((places) => {
      const own = places[i] ?? null;
      const usual = medianOf(
        places.flatMap((place, k) => (k !== i && prints[k]?.limb === print.limb ? (place ?? []) : [])),
      );
      return own === null || usual === null ? 0 : own - usual;
    });
    if (one === undefined || other === undefined || one * other <= 0) return 0;
    return Math.sign(one) * Math.min(Math.abs(one), Math.abs(other));
  });
}

function asideOfFetlock(data: LineData, path: LinePath, print: LinePrint): number | null {
  const [from, to] = standsS({ fromS: print.onS, toS: print.offS });
  const apart = data.points[HOOF[print.limb]].flatMap((toe, i) => {
    const fetlock = data.points[FETLOCK[print.limb]][i];
    return toe && fetlock && toe.timeS >= from && toe.timeS <= to
      ? [limbAside(path, print, toe) - limbAside(path, print, fetlock)]
      : [];
  });
  return medianOf(apart);
}
