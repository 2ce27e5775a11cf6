/** What is off in a frame that is to be the photograph: codes with numbers, of which the page makes sentences. */
import type { Limb, Side } from '../points.ts';
import { WARN_DEG } from './oblique.ts';
import type { Values } from './quantities.ts';

/** From and to, withers heights. */
export type Range = readonly [number, number];

/**
 * How the horse is to stand: common practice, no source; breed societies differ and the user may change all of it. H =
 * heights at the withers: .01 H is 1.6 cm of a horse of 160 cm.
 */
export interface StandLimits {
  /** Fore pair square: one hoof no more than this ahead of the other, H. */
  readonly foreSquareH: number;
  /** Hind pair open: the near hind behind the far one by about a hoof (.08 H) or somewhat more, H. */
  readonly hindOpenH: Range;
  /** Point of shoulder ahead of the toe of the near fore, H: less stands back on its forelegs, more leans over them. */
  readonly shoulderAheadH: Range;
  /** Poll above the withers, H. */
  readonly headH: Range;
  /** Camera off square, degrees. */
  readonly obliqueDeg: number;
}
export const USUAL_LIMITS: StandLimits = {
  foreSquareH: 0.03,
  hindOpenH: [0.05, 0.2],
  shoulderAheadH: [-0.02, 0.12],
  headH: [0.15, 0.35],
  obliqueDeg: WARN_DEG,
};

export const OFF_CODES = [
  /** `limb` stands behind its fellow by `by`. */
  'foreBehind',
  /** `limb`, the near hind, would have to stand `by` farther back. */
  'hindNotOpen',
  /** The far hind stands back instead: `limb`, the near one, is ahead of it by `by`. */
  'hindOpenAway',
  /** `limb`, the near hind, would have to stand `by` farther forward. */
  'hindTooOpen',
  /** The point of shoulder is `by` farther ahead of the near fore toe, `limb`, than it may be; or less far. */
  'leansOver',
  'leansBack',
  /** The poll is `by` below or above its range. */
  'headLow',
  'headHigh',
  /** The camera is off square by `deg`, positive where the forehand is nearer. */
  'oblique',
  /** Not seen: see `unseen`. */
  'unseen',
] as const;
export type OffCode = (typeof OFF_CODES)[number];

export interface Off {
  readonly code: OffCode;
  readonly limb?: Limb;
  readonly byH?: number;
  /** Absent without a typed height. */
  readonly byM?: number;
  readonly deg?: number;
  readonly unseen?: 'forePair' | 'hindPair' | 'shoulder' | 'head';
}

/** Sizes that count as much as each other in the ranking: H, degrees; our choice, no source. */
const WEIGHS = { byH: 0.05, deg: 10, unseen: 1 } as const;

/** How far off a frame is, for ranking: the sum of squares of what is off, 0 = nothing. */
export const badness = (off: readonly Off[]): number =>
  off.reduce((sum, { byH, deg, unseen }) => {
    const size = unseen ? WEIGHS.unseen : Math.hypot((byH ?? 0) / WEIGHS.byH, (deg ?? 0) / WEIGHS.deg);
    return sum + size ** 2;
  }, 0);

const limbs = (side: Side): { fore: Limb; hind: Limb } =>
  side === 'left' ? { fore: 'LF', hind: 'LH' } : { fore: 'RF', hind: 'RH' };

function forePair(leftAhead: number | null, limits: StandLimits): Off[] {
  if (leftAhead === null) return [{ code: 'unseen', unseen: 'forePair' }];
  if (Math.abs(leftAhead) <= limits.foreSquareH) return [];
  return [{ code: 'foreBehind', limb: leftAhead > 0 ? 'RF' : 'LF', byH: Math.abs(leftAhead) }];
}

function hindPair(leftAhead: number | null, nearSide: Side, { hindOpenH }: StandLimits): Off[] {
  if (leftAhead === null) return [{ code: 'unseen', unseen: 'hindPair' }];
  const nearBack = nearSide === 'left' ? -leftAhead : leftAhead;
  const limb = limbs(nearSide).hind;
  const [least, most] = hindOpenH;
  if (nearBack >= least && nearBack <= most) return [];
  if (nearBack > most) return [{ code: 'hindTooOpen', limb, byH: nearBack - most }];
  // Only where it stands ahead by more than the pair may be off square is it open to the other side.
  return nearBack < -least
    ? [{ code: 'hindOpenAway', limb, byH: -nearBack }]
    : [{ code: 'hindNotOpen', limb, byH: least - nearBack }];
}

function inRange(
  value: number | null,
  [least, most]: Range,
  low: Off['code'],
  high: Off['code'],
  unseen: NonNullable<Off['unseen']>,
): Off[] {
  if (value === null) return [{ code: 'unseen', unseen }];
  if (value < least) return [{ code: low, byH: least - value }];
  return value > most ? [{ code: high, byH: value - most }] : [];
}

/** What is off, by the values of a frame (H, degrees); `obliqueDeg`: camera off square, positive with the forehand nearer. */
export function faultsOf(
  values: Values,
  nearSide: Side,
  obliqueDeg: number,
  withersM: number | null,
  limits: StandLimits,
): Off[] {
  const shoulder = inRange(
    values.shoulderAheadOfToe,
    limits.shoulderAheadH,
    'leansBack',
    'leansOver',
    'shoulder',
  ).map((off): Off => ({ ...off, limb: limbs(nearSide).fore }));
  const all: Off[] = [
    ...forePair(values.foreLeftAhead, limits),
    ...hindPair(values.hindLeftAhead, nearSide, limits),
    ...shoulder,
    ...inRange(values.pollAboveWithers, limits.headH, 'headLow', 'headHigh', 'head'),
    ...(Math.abs(obliqueDeg) > limits.obliqueDeg ? [{ code: 'oblique', deg: obliqueDeg } as const] : []),
  ];
  return all.map((off) =>
    withersM === null || off.byH === undefined ? off : { ...off, byM: off.byH * withersM },
  );
}
