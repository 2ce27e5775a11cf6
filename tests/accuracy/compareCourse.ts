/** All passes of one drawn clip held against its truth: borders of every kind, and the measures of ways away and back. */
import type { CoursePass } from '../../src/gait/index.ts';
import type { LineMeasures, Measure } from '../../src/gait/types.ts';
import type { Gait } from '../../src/pipeline.ts';
import { LIMBS } from '../../src/points.ts';
import type { TrueLinePass } from '../truth/trueLine.ts';
import type { TruePass } from '../truth/trueMeasures.ts';
import type { TruthFile } from '../truth/truth.ts';
import type { Sample } from './figures.ts';

interface Named {
  readonly name: string;
  readonly unit: 'degrees' | 'cm';
  readonly found: Measure | undefined;
  readonly truth: number;
}

const cm = (name: string, found: Measure | undefined, truth: number): Named => ({
  ...{ name, unit: 'cm', found, truth },
});

/** `found` undefined where there is no such pass. */
function namedOf(truth: TrueLinePass, found: LineMeasures | undefined): Named[] {
  const { path, baseWidthM, hindOnForeM, swingOutM, head } = truth;
  return [
    { name: 'pathDriftDeg', unit: 'degrees', found: found?.pathDriftDeg, truth: path.driftDeg },
    cm('pathRmsM', found?.pathRmsM, path.rmsM),
    cm('baseWidthForeM', found?.baseWidthForeM, baseWidthM.fore),
    cm('baseWidthHindM', found?.baseWidthHindM, baseWidthM.hind),
    ...(['left', 'right'] as const).map((side) =>
      cm('hindOnForeM', found?.hindOnForeM[side], hindOnForeM[side]),
    ),
    ...LIMBS.map((limb) => cm('swingOutM', found?.swingOutM[limb], swingOutM[limb])),
    cm('pollAsideM', found?.head.poll.asideM, head.poll.meanM),
    cm('muzzleAsideM', found?.head.muzzle.asideM, head.muzzle.meanM),
  ];
}

function valueSample({ name, unit, found, truth }: Named, groups: readonly string[]): Sample {
  const base = { measure: name, unit, groups };
  if (!found || !('value' in found))
    return { ...base, error: null, held: null, reason: found?.reason ?? 'noPass' };
  const error = (unit === 'cm' ? 100 : 1) * (found.value - truth);
  return { ...base, error, held: found.low <= truth && truth <= found.high };
}

/** A hoof that swings out of its line by more than this is seen to, m. */
const SEEN_M = 0.03;

/** Whether a hoof that swings far outward or inward is said to do so. */
function directionSamples(named: readonly Named[], groups: readonly string[]): Sample[] {
  return named
    .filter(({ name, truth }) => name === 'swingOutM' && Math.abs(truth) > SEEN_M)
    .map(({ found, truth }): Sample => {
      const base = { measure: 'swingDirection', unit: 'limbs', groups, held: null };
      if (!found || !('value' in found)) return { ...base, error: null, reason: found?.reason ?? 'noPass' };
      return found.value * truth > 0 ? { ...base, error: 0 } : { ...base, error: null, reason: 'wrongWay' };
    });
}

interface Borders {
  readonly kind: string;
  readonly startS: number;
  readonly endS: number;
}
/** The pass of the same kind that shares most time. */
function same<T extends Borders>(one: Borders, list: readonly T[]): T | null {
  const shared = (other: Borders): number =>
    Math.min(other.endS, one.endS) - Math.max(other.startS, one.startS);
  const [best] = list.filter(({ kind }) => kind === one.kind).sort((a, b) => shared(b) - shared(a));
  return best && shared(best) > 0 ? best : null;
}

/** Where the passes of a kind begin and end, and whether one was found that is none. */
function borderSamples(
  course: readonly CoursePass[],
  passes: readonly TruePass[],
  groups: readonly string[],
): Sample[] {
  const borders = passes.flatMap((truth) => {
    const found = same(truth, course);
    const base = { measure: 'passBorders', unit: 's', groups: [...groups, truth.kind], held: null };
    return (['startS', 'endS'] as const).map((border): Sample =>
      found ? { ...base, error: found[border] - truth[border] } : { ...base, error: null, reason: 'missed' },
    );
  });
  const invented = course.map((found): Sample => {
    const base = { measure: 'noPassInvented', unit: 'passes', groups: [...groups, found.kind], held: null };
    return same(found, passes) ? { ...base, error: 0 } : { ...base, error: null, reason: 'invented' };
  });
  return [...borders, ...invented];
}

export function courseSamples({ course }: Gait, { passes }: TruthFile, groups: readonly string[]): Sample[] {
  const lines = passes.flatMap((truth) => {
    if (truth.kind !== 'away' && truth.kind !== 'towards') return [];
    const found = same(truth, course);
    const measures = found?.kind === 'away' || found?.kind === 'towards' ? found.pass.measures : undefined;
    const named = namedOf(truth, measures);
    const own = [...groups, truth.kind];
    return [...named.map((one) => valueSample(one, own)), ...directionSamples(named, own)];
  });
  return [...borderSamples(course, passes, groups), ...lines];
}
