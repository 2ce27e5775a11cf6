/** What the keypoint network is asked for, and how it stands: one row a figure. Errors in % of H. */
import type { PointName } from '../../../src/points.ts';
import { medianFigure, shareFigure, type Figure, type PointError, type Sample } from './errors.ts';
import { groupOf, type Group } from '../../../src/pose/reliability.ts';

export interface Row {
  /** The pictures. */
  readonly set: string;
  /** Of what the figure is. */
  readonly of: string;
  /** `median` in % of H, else a share in per cent. */
  readonly figure: string;
  readonly found: Figure | null;
  /** Of the points that are labelled as seen, the inferred ones left out; null where none is inferred. */
  readonly seen: Figure | null;
  readonly atLeast?: number;
  readonly atMost?: number;
  /** Null where there is no bar, or nothing that could be held to it. */
  readonly met: boolean | null;
}

interface Bar {
  readonly of: Group | PointName;
  /** % of H; absent: the median. */
  readonly within?: number;
  /** Absent: no bar, only told. */
  readonly atLeast?: number;
  readonly atMost?: number;
}

export function row(
  set: string,
  of: string,
  figure: string,
  found: Figure | null,
  bar: Partial<Bar> = {},
): Row {
  const { atLeast, atMost } = bar;
  const held = found !== null && (atLeast !== undefined || atMost !== undefined);
  const met = held ? found.value >= (atLeast ?? -Infinity) && found.value <= (atMost ?? Infinity) : null;
  return {
    ...{ set, of, figure, found, met, seen: null },
    ...(atLeast === undefined ? {} : { atLeast }),
    ...(atMost === undefined ? {} : { atMost }),
  };
}

/** A share of yes and no. */
export const shareRow = (
  set: string,
  of: string,
  figure: string,
  list: readonly { readonly holds: boolean; readonly horse: string }[],
  bar: Partial<Bar> = {},
): Row =>
  row(
    ...([set, of, figure] as const),
    shareFigure(
      list.map(({ holds, horse }) => ({ value: Number(holds), horse })),
      (value) => value === 1,
    ),
    bar,
  );

const figureOf = ({ within }: Bar, samples: readonly Sample[]): Figure | null =>
  within === undefined ? medianFigure(samples) : shareFigure(samples, (percentH) => percentH <= within);

const isOf = (name: PointName, wanted: Bar['of']): boolean => name === wanted || groupOf(name) === wanted;

/** Rows of these errors, one a bar. */
export function errorRows(
  set: string,
  errors: readonly PointError[],
  bars: readonly Bar[],
  label = '',
): Row[] {
  return bars.map((bar) => {
    const own = errors.filter(({ name }) => isOf(name, bar.of));
    const samples = (list: readonly PointError[]): Sample[] =>
      list.map(({ percentH, horse }) => ({ value: percentH, horse }));
    const figure = bar.within === undefined ? 'median' : `within ${bar.within} %`;
    const seen = own.every((e) => e.seen) ? null : figureOf(bar, samples(own.filter((e) => e.seen)));
    return { ...row(set, `${label}${bar.of}`, figure, figureOf(bar, samples(own)), bar), seen };
  });
}

const steps = (of: Bar['of'], median?: number, within2?: number, within5?: number): Bar[] => [
  { of, ...(median === undefined ? {} : { atMost: median }) },
  { of, within: 2, ...(within2 === undefined ? {} : { atLeast: within2 }) },
  { of, within: 5, ...(within5 === undefined ? {} : { atLeast: within5 }) },
];

/** Typed labels, side view. */
export const HAND_BARS: readonly Bar[] = [
  ...(['toes', 'fetlocks', 'knees'] as const).flatMap((of) => steps(of, 1, 80, 98)),
  ...(['poll', 'croup', 'hocks'] as const).map((of) => ({ of, within: 5, atLeast: 97 })),
  { of: 'withers', within: 3, atLeast: 80 },
];
/** Sides named rightly, of horses in side view. */
export const SIDES_BAR = { atLeast: 95 };
/** Seen from before and behind. */
export const AXIS_BARS: readonly Bar[] = [
  { of: 'toes' },
  { of: 'toes', within: 2 },
  { of: 'toes', within: 5, atLeast: 90 },
];

/** The walk's video frames, near side, against another network's points. */
export const WALK_BARS: readonly Bar[] = [
  ...(['toes', 'fetlocks'] as const).flatMap((of) => steps(of, undefined, 90, 98)),
  ...(['poll', 'withers'] as const).flatMap((of): Bar[] => [{ of }, { of, within: 3, atLeast: 95 }]),
];
/** Of hooves that stand, without a bar. */
export const STANDING: readonly Bar[] = steps('toes');
/** Frames in which near and far limb have changed names. */
export const EXCHANGED_BAR = { atMost: 2 };

/** Drawn horses, by view. */
export const DRAWN_BARS: readonly Bar[] = steps('toes', undefined, 90);
