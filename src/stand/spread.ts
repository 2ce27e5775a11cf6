import { quadrature, type Estimate } from '../gait/statistics.ts';
import { POINT_NAMES, type PointName } from '../points.ts';
import { NETWORK_STAND_ERRORS, pointSds } from './errors.ts';
import type { Oblique } from './oblique.ts';
import {
  forwardSign,
  isLineSeen,
  placed,
  type Frame,
  type Ground,
  type Scene,
  type StandPoints,
} from './places.ts';
import { quantitiesOf, valuesOf, type QuantityName, type Values } from './quantities.ts';
import { sceneSds } from './scene.ts';
import type { StandOptions } from './types.ts';

export interface Spread {
  readonly ground: Ground;
  readonly known: Readonly<Record<QuantityName, Estimate | null>>;
}

/** The horse a little otherwise than it was seen: one source of error by one SD to either side. */
type Otherwise = readonly [plus: Values | null, minus: Values | null];

const ANGLE = /Deg/;
/** Degrees from one value to another; angles go round. */
function change(name: QuantityName, from: number, to: number | null | undefined): number {
  if (to === null || to === undefined) return Infinity;
  const by = to - from;
  return ANGLE.test(name) ? by - 360 * Math.round(by / 360) : by;
}

/** One point moved by its SD forwards and up. */
function movedPoints(
  points: StandPoints,
  frame: Frame,
  heightPx: number,
  options: StandOptions,
): readonly (readonly [StandPoints, StandPoints])[] {
  const sdsOf = (name: PointName) =>
    pointSds(
      name,
      frame.nearSide,
      options.looks ?? 1,
      options.byHand?.includes(name) ?? false,
      options.errors ?? NETWORK_STAND_ERRORS,
    );
  return POINT_NAMES.flatMap((name) => {
    const [p, sds] = [points[name], sdsOf(name)];
    if (!p || !sds) return [];
    const by = (x: number, y: number): StandPoints => ({ ...points, [name]: { x: p.x + x, y: p.y + y } });
    const [dx, dy] = [forwardSign(frame.nearSide) * sds.forward * heightPx, -sds.up * heightPx];
    return [[by(dx, 0), by(-dx, 0)] as const, [by(0, dy), by(0, -dy)] as const];
  });
}

/**
 * Values and their SDs: each source of error alone, one SD to either side, the larger change counting, as squares
 * (first order; the errors are thought independent, of points that lie on one limb too). Null where `placed` is.
 */
export function spreadOf(
  points: StandPoints,
  frame: Frame,
  square: Scene,
  oblique: Oblique,
  options: StandOptions,
): Spread | null {
  const scene = { ...square, obliqueRad: (oblique.deg * Math.PI) / 180 };
  const valuesWith = (p: StandPoints, s: Scene): Values | null => {
    const stand = placed(p, frame, s);
    return stand && valuesOf(frame.nearSide, stand.placeOf);
  };
  const stand = placed(points, frame, scene);
  if (!stand) return null;
  const { placeOf, ...ground } = stand;
  const values = valuesOf(frame.nearSide, placeOf);
  const sds = sceneSds(options, oblique, isLineSeen(points));
  const ofScene = (Object.keys(sds) as (keyof Scene)[])
    .filter((key) => sds[key] > 0)
    .map((key): Otherwise => [
      valuesWith(points, { ...scene, [key]: scene[key] + sds[key] }),
      valuesWith(points, { ...scene, [key]: scene[key] - sds[key] }),
    ]);
  const ofPoints = movedPoints(points, frame, ground.heightPx, options).map(([plus, minus]): Otherwise => [
    valuesWith(plus, scene),
    valuesWith(minus, scene),
  ]);
  const known = quantitiesOf(frame.nearSide).map(({ name }) => {
    const value = values[name];
    if (value === null) return [name, null];
    const terms = [...ofScene, ...ofPoints].map((sides) =>
      Math.max(...sides.map((one) => Math.abs(change(name, value, one?.[name])))),
    );
    return [name, { value, sd: quadrature(...terms) }];
  });
  return { ground, known: Object.fromEntries(known) as Record<QuantityName, Estimate | null> };
}
