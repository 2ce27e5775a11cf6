/** The measures of a stand as plain functions of places on the horse: heights at the withers (H) and degrees. */
import { degrees } from '../gait/geometry.ts';
import { FETLOCK, HOOF, KNEE_OR_HOCK, type Limb, type PointName, type Side } from '../points.ts';
import type { Place } from './places.ts';
import type { StandNote } from './reasons.ts';

export const LENGTHS = [
  'croupAboveWithers',
  'foreLeftAhead',
  'hindLeftAhead',
  'shoulderAheadOfToe',
  'pollHeight',
  'pollAboveWithers',
  'shoulderToTailhead',
] as const;
export type LengthName = (typeof LENGTHS)[number];

export const ANGLES = [
  'foreCannonLeanDeg.left',
  'foreCannonLeanDeg.right',
  'hockToFetlockLeanDeg.left',
  'hockToFetlockLeanDeg.right',
  'fetlockToToeSlopeDeg.LH',
  'fetlockToToeSlopeDeg.LF',
  'fetlockToToeSlopeDeg.RH',
  'fetlockToToeSlopeDeg.RF',
  'shoulderSlopeDeg',
  'neckSlopeDeg',
  'faceSlopeDeg',
] as const;
export type AngleName = (typeof ANGLES)[number];
export type QuantityName = LengthName | AngleName;

export interface Quantity {
  readonly name: QuantityName;
  /** Of `b` against `a`. */
  readonly from: PointName;
  readonly to: PointName;
  readonly of: (a: Place, b: Place) => number;
  readonly notes: readonly StandNote[];
}

/** How far b lies ahead of a, or above it. */
const ahead = (a: Place, b: Place): number => b.alongH - a.alongH;
const above = (a: Place, b: Place): number => b.upH - a.upH;
const angle = (up: number, along: number): number => degrees(Math.atan2(up, along));
/** From upright, of the line up from a to b: positive where b lies ahead. */
const lean = (a: Place, b: Place): number => angle(ahead(a, b), above(a, b));
/** Above level, of the line from a to b, seen along `way`. */
const slope =
  (way: 1 | -1) =>
  (a: Place, b: Place): number =>
    angle(above(a, b), way * ahead(a, b));

const length = (
  name: LengthName,
  from: PointName,
  to: PointName,
  of: (a: Place, b: Place) => number,
): Quantity => ({ name, from, to, of, notes: [] });

const SIDES = [
  ['left', 'LF', 'LH'],
  ['right', 'RF', 'RH'],
] as const satisfies readonly (readonly [Side, Limb, Limb])[];

const cannons: readonly Quantity[] = SIDES.flatMap(([side, fore, hind]): Quantity[] => [
  {
    ...{ name: `foreCannonLeanDeg.${side}`, from: FETLOCK[fore], to: KNEE_OR_HOCK[fore], of: lean },
    notes: ['jointsFollowStance'],
  },
  {
    ...{ name: `hockToFetlockLeanDeg.${side}`, from: FETLOCK[hind], to: KNEE_OR_HOCK[hind], of: lean },
    notes: ['jointsFollowStance', 'pointOfHock'],
  },
]);

/** The pastern leans back: its slope is counted up from level behind the toe. */
const pasterns: readonly Quantity[] = (['LH', 'LF', 'RH', 'RF'] as const).map((limb) => ({
  ...{ name: `fetlockToToeSlopeDeg.${limb}`, from: HOOF[limb], to: FETLOCK[limb], of: slope(-1) },
  notes: ['jointsFollowStance'],
}));

export const quantitiesOf = (nearSide: Side): readonly Quantity[] => [
  length('croupAboveWithers', 'withers', 'croup', above),
  length('foreLeftAhead', HOOF.RF, HOOF.LF, ahead),
  length('hindLeftAhead', HOOF.RH, HOOF.LH, ahead),
  length('shoulderAheadOfToe', HOOF[nearSide === 'left' ? 'LF' : 'RF'], 'point_of_shoulder', ahead),
  // The withers stand 1 H above the ground by definition.
  length('pollHeight', 'withers', 'poll', (a, b) => 1 + above(a, b)),
  length('pollAboveWithers', 'withers', 'poll', above),
  length('shoulderToTailhead', 'tailhead', 'point_of_shoulder', ahead),
  ...cannons,
  ...pasterns,
  {
    ...{ name: 'shoulderSlopeDeg', from: 'point_of_shoulder', to: 'withers', of: slope(-1) },
    notes: ['skinMoves'],
  },
  { name: 'neckSlopeDeg', from: 'withers', to: 'poll', of: slope(1), notes: [] },
  { name: 'faceSlopeDeg', from: 'muzzle', to: 'poll', of: slope(-1), notes: [] },
];

export type Values = Readonly<Record<QuantityName, number | null>>;

/** Null where a point is missing. */
export function valuesOf(nearSide: Side, placeOf: (name: PointName) => Place | null): Values {
  const value = ({ from, to, of }: Quantity): number | null => {
    const [a, b] = [placeOf(from), placeOf(to)];
    const v = a && b ? of(a, b) : null;
    return v !== null && Number.isFinite(v) ? v : null;
  };
  return Object.fromEntries(quantitiesOf(nearSide).map((q) => [q.name, value(q)])) as Record<
    QuantityName,
    number | null
  >;
}
