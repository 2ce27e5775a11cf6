/** A long clip must stay workable: after every point put right by hand the whole of it is worked out anew. */
import { expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { inUnitsOfWork } from '../support/machine.ts';

const FRAMES = 10_000;
/** Track and analysis of either clip took 92 to 158 units of work; twice the frames in a step that looks at all of them would take four times as long. */
const MOST_WORK = 300;
const FPS = 30;
const PICTURE = { widthPx: 1920, heightPx: 1080 };

/** Walks past, stands at the end of the path for as long as it walked, and again from the start. */
function walkingAndStanding(): ObservedFrame[] {
  const { frames } = walk({ seed: 3, noise: 1, fps: FPS, strides: 4 });
  const stop = frames[frames.length - 1];
  const round = [...frames, ...frames.map(() => stop ?? { timeS: 0, horse: null })];
  return Array.from({ length: FRAMES }, (_, i) => ({
    timeS: i / FPS,
    horse: round[i % round.length]?.horse ?? null,
  }));
}

it.each([
  ['walks past and stands by turns', walkingAndStanding, 20],
  ['walks all along', () => walk({ seed: 3, noise: 1, fps: FPS, strides: 300 }).frames.slice(0, FRAMES), 1],
] as const)(
  'ten thousand frames of a horse that %s',
  (_, framesOf, leastPasses) => {
    const frames = framesOf();
    expect(frames).toHaveLength(FRAMES);
    let passes = 0;
    const work = inUnitsOfWork(
      () => (passes = analyseTrack(buildTrack(frames, null, [], PICTURE), { withersM: 1.62 }).length),
      MOST_WORK,
      3,
    );
    expect(passes).toBeGreaterThanOrEqual(leastPasses);
    expect(work).toBeLessThan(MOST_WORK);
  },
  60_000,
);
