/** What the page says of a pass away from the camera or back to it. */
import type { CoursePass } from '../gait/index.ts';
import type { HeadAside, LinePass, Measure, Measured } from '../gait/types.ts';
import { LIMBS, type Limb, type Side } from '../points.ts';
import {
  DEGREES,
  type Quantity,
  SHARE,
  SHORT_LENGTH,
  type Shown,
  type Units,
  type Ways,
  formatNumber,
  showMeasured,
  showSided,
  withUnit,
} from './format.ts';
import { LIMB_WORDS, type MeasureWords } from './words.ts';

/** Beside the numbers and charts: how far they can be trusted. */
export const LINE_TRUST =
  'Checked on drawn horses only. How well the points are found on a filmed horse seen from behind or from in front was never measured beyond a few pictures: look at the points in the picture before you trust a number.';

export const LINE_RANGE_WORDS =
  'The two numbers in brackets are the lowest and the highest value that are likely, counted the same way as the value. They are meant to hold the true value 95 times in 100; that was checked on drawn walks only.';

export const lineKindWords = ({ kind }: LinePass): string =>
  kind === 'away' ? 'Walking away from the camera' : 'Walking back to the camera';

/** Of a chosen part of which nothing is measured. */
export function unmeasuredWords(chosen: CoursePass | null): string {
  switch (chosen?.kind) {
    case 'stand':
      return 'Here the horse stands. A stand is not measured.';
    case 'turn':
      return 'Here the horse turns. A turn is not measured.';
    case 'side':
      return 'Here the horse walks past the camera, but nothing of it can be measured: it is seen too much from behind or from in front, not whole, or for less than a stride.';
    default:
      return 'This part of the clip belongs to no pass, so nothing of it is measured. If the horse walks here, choose beneath the picture how.';
  }
}

/** One row of the table. */
export interface LineRow {
  readonly name: string;
  readonly words: MeasureWords;
  readonly measure: Measure;
  readonly quantity: Quantity;
  /** Of what goes two ways. */
  readonly ways?: Ways;
  /** What n counts. */
  readonly each: string;
  readonly note?: string;
}

export const showRow = (measured: Measured, { quantity, ways }: LineRow): Shown =>
  ways ? showSided(measured, quantity, ways) : showMeasured(measured, quantity);

const LEFT_RIGHT: Ways = ['to its left', 'to its right'];
const OUT_IN: Ways = ['outward', 'inward'];
const IN_OUT: Ways = ['inward', 'outward'];

export interface LineGroup {
  readonly title: string;
  readonly rows: readonly LineRow[];
}

export function lineGroups({ measures }: LinePass, units: Units): LineGroup[] {
  const cm = SHORT_LENGTH[units];
  return [
    {
      title: 'Path',
      rows: [
        {
          ...{ name: 'pathDriftDeg', words: DRIFT, measure: measures.pathDriftDeg },
          ...{ quantity: DEGREES, ways: LEFT_RIGHT, each: 'stride' },
        },
        {
          ...{ name: 'pathRmsM', words: WAVER, measure: measures.pathRmsM },
          ...{ quantity: cm, each: 'stride' },
        },
      ],
    },
    {
      title: 'Prints',
      rows: [
        { ...baseWidthRow('in front', measures.baseWidthForeM), quantity: cm },
        { ...baseWidthRow('behind', measures.baseWidthHindM), quantity: cm },
        ...(['left', 'right'] as const).map((side) => ({
          ...hindOnForeRow(side, measures.hindOnForeM[side]),
          quantity: cm,
        })),
      ],
    },
    {
      title: 'Swing of the hooves',
      rows: LIMBS.map((limb) => ({ ...swingRow(limb, measures.swingOutM[limb]), quantity: cm })),
    },
    {
      title: 'Head',
      rows: (['poll', 'muzzle'] as const).map((point) => {
        const aside = measures.head[point];
        const note = shareWords(aside, measures.head.toleranceM, cm);
        return { ...headRow(point, aside.asideM), quantity: cm, ...(note === null ? {} : { note }) };
      }),
    },
  ];
}

const DRIFT: MeasureWords = {
  title: 'Drift of the way',
  meaning:
    'By how much the way that the horse goes departs from the direction in which the camera looks, to the horse’s own left or right. It is a fault of the leading only where the handler meant to walk straight to or from the camera.',
};
const WAVER: MeasureWords = {
  title: 'Off the straight line',
  meaning:
    'How far the middle of the body is from the straight line that fits its way best, as a root mean square: most of the time it is nearer than twice this.',
};

type Row = Omit<LineRow, 'quantity'>;

const baseWidthRow = (end: 'in front' | 'behind', measure: Measure): Row => ({
  name: `baseWidth ${end === 'behind' ? 'hind' : 'fore'}`,
  words: {
    title: `Base width ${end}`,
    meaning: `How far apart left and right ${end === 'behind' ? 'hind' : 'fore'} hooves are set down, toe to toe across the way; below zero they cross over.`,
  },
  measure,
  each: 'step',
});

const hindOnForeRow = (side: Side, measure: Measure): Row => ({
  name: `hindOnFore ${side}`,
  words: {
    title: `Hind on fore, ${side}`,
    meaning: `How far the ${side} hind hoof lands outward or inward of the print of the ${side} fore hoof, across the way.`,
  },
  measure,
  ways: side === 'left' ? OUT_IN : IN_OUT,
  each: 'print',
});

const swingRow = (limb: Limb, measure: Measure): Row => ({
  name: `swingOut ${limb}`,
  words: {
    title: `${LIMB_WORDS[limb].charAt(0).toUpperCase()}${LIMB_WORDS[limb].slice(1)}`,
    meaning: `The farthest that the ${LIMB_WORDS[limb]} hoof swings outward or inward of the straight line from one of its prints to the next, in the mean of its swings.`,
  },
  measure,
  ways: OUT_IN,
  each: 'swing',
});

const headRow = (point: 'poll' | 'muzzle', measure: Measure): Row => ({
  name: `head ${point}`,
  words: {
    title: point === 'poll' ? 'Poll aside' : 'Muzzle aside',
    meaning: `How far the ${point} is carried to the left or right of the line that the body follows, in the mean. The head counts as straight within a tolerance that is our own choice, no rule.`,
  },
  measure,
  ways: LEFT_RIGHT,
  each: 'stride',
});

/** "beyond 5 cm to its left 40 % of the time, to its right 5 %" */
function shareWords({ leftShare, rightShare }: HeadAside, toleranceM: number, cm: Quantity): string | null {
  if (leftShare === undefined || rightShare === undefined) return null;
  const percent = (share: number): string => withUnit(formatNumber(share * SHARE.factor, 0), SHARE.unit);
  const beyond = withUnit(formatNumber(toleranceM * cm.factor, 0), cm.unit);
  return `beyond ${beyond} to its left ${percent(leftShare)} of the time, to its right ${percent(rightShare)}`;
}
