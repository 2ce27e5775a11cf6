import type { SidePass } from '../../gait/types.ts';
import { type Limb } from '../../points.ts';

export interface Sample {
  readonly timeS: number;
  readonly height: number;
}

export interface Band {
  readonly fromS: number;
  readonly toS: number;
  readonly low: number;
  readonly high: number;
}

/** What lasts longer than this many strides is more than one. */
const LONGEST_STRIDES = 1.5;

/** Range of the head in each whole stride of the near hind hoof. A landing that was not seen leaves two strides out. */
export function strideBands(pass: SidePass, samples: readonly Sample[]): readonly Band[] {
  const hind: Limb = pass.nearSide === 'left' ? 'LH' : 'RH';
  const landings = pass.stances.flatMap(({ limb, onS }) => (limb === hind ? [onS] : []));
  const strides = landings.slice(1).flatMap((toS, index) => {
    const fromS = landings[index] ?? null;
    return fromS === null || toS === null ? [] : [{ fromS, toS }];
  });
  const { strideDurationS } = pass.measures;
  const usualS =
    'reason' in strideDurationS
      ? Math.min(...strides.map(({ fromS, toS }) => toS - fromS))
      : strideDurationS.value;
  return strides.flatMap(({ fromS, toS }) => {
    if (toS - fromS > LONGEST_STRIDES * usualS) return [];
    const within = samples.filter(({ timeS }) => timeS >= fromS && timeS < toS).map(({ height }) => height);
    return within.length < 3 ? [] : [{ fromS, toS, low: Math.min(...within), high: Math.max(...within) }];
  });
}
