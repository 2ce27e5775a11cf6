/**
 * The points of the horse. Left and right are anatomical. Where each point lies is said in DEVELOPERS.md
 * (glossary); a hoof point is always the tip of the toe.
 */
export const POINT_NAMES = [
  'muzzle',
  'poll',
  'withers',
  'croup',
  'tailhead',
  'point_of_shoulder',
  'point_of_elbow',
  'left_fore_knee',
  'left_fore_fetlock',
  'left_fore_hoof',
  'left_hind_hock',
  'left_hind_fetlock',
  'left_hind_hoof',
  'right_fore_knee',
  'right_fore_fetlock',
  'right_fore_hoof',
  'right_hind_hock',
  'right_hind_fetlock',
  'right_hind_hoof',
  'left_point_of_shoulder',
  'right_point_of_shoulder',
] as const;

export type PointName = (typeof POINT_NAMES)[number];
export type Side = 'left' | 'right';

/** Left hind, left fore, right hind, right fore: the order of the footfalls of a walk. */
export const LIMBS = ['LH', 'LF', 'RH', 'RF'] as const;
export type Limb = (typeof LIMBS)[number];

export const HOOF = {
  LH: 'left_hind_hoof',
  LF: 'left_fore_hoof',
  RH: 'right_hind_hoof',
  RF: 'right_fore_hoof',
} as const satisfies Record<Limb, PointName>;

export const FETLOCK = {
  LH: 'left_hind_fetlock',
  LF: 'left_fore_fetlock',
  RH: 'right_hind_fetlock',
  RF: 'right_fore_fetlock',
} as const satisfies Record<Limb, PointName>;

/** Knee of a fore limb, hock of a hind limb. */
export const KNEE_OR_HOCK = {
  LH: 'left_hind_hock',
  LF: 'left_fore_knee',
  RH: 'right_hind_hock',
  RF: 'right_fore_knee',
} as const satisfies Record<Limb, PointName>;

export const limbSide = (limb: Limb): Side => (limb.startsWith('L') ? 'left' : 'right');
export const isFore = (limb: Limb): boolean => limb.endsWith('F');

/** The name that a point gets in a mirrored picture. */
export function mirrorName(name: PointName): PointName {
  if (name.startsWith('left_')) return name.replace('left_', 'right_') as PointName;
  if (name.startsWith('right_')) return name.replace('right_', 'left_') as PointName;
  return name;
}
