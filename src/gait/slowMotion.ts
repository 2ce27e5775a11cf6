import type { StrideMean } from './interval.ts';

/**
 * A clip handed on in slow motion plays its strides slower than the horse took them, and no file says so. Strides at
 * walk last 1.26 s, SD 0.14, and the body goes 0.76 withers heights a second, SD 0.13 (145 clips of ridden walk,
 * measured on the trajectories of Niknejad et al. 2023, J ASABE 66:865).
 * `slow`: four SDs of the one, two of the other beyond that; a horse may dawdle so. `no walk`: even at half speed most
 * strides are shorter (1.26 + 2 x 0.14 = 1.54 s) and bodies faster (0.76 - 0.13 = 0.63).
 */
export type Tempo = 'usual' | 'slow' | 'no walk';
const SLOW = { strideS: 1.8, speedH: 0.5 } as const;
const NO_WALK = { strideS: 3.1, speedH: 0.3 } as const;

/** How a pass is timed: by its strides, or by the body (withers heights a second) where no whole stride was seen. */
export function tempoOf(duration: StrideMean | null, speedH: StrideMean | null): Tempo {
  const beyond = (most: typeof SLOW | typeof NO_WALK): boolean =>
    duration ? duration.value > most.strideS : speedH !== null && speedH.value < most.speedH;
  return beyond(NO_WALK) ? 'no walk' : beyond(SLOW) ? 'slow' : 'usual';
}
