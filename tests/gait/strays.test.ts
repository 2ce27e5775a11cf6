/** A stance that lies elsewhere in the body than the limb's others is a hoof mistaken for its neighbour, or put right. */
import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { FETLOCK, HOOF, isFore } from '../../src/points.ts';
import type { Track, TrackPoint } from '../../src/track/types.ts';
import { walk, type TrueStance } from '../support/kinematic.ts';

const made = walk({ noise: 1, strides: 5, fps: 30 });
const { options, track } = made;
const heightPx = (options.focalShare * options.widthPx * options.withersM) / options.distanceM;
const forwardPx = (options.direction === 'right' ? 1 : -1) * heightPx;
const lastS = track.timesS.at(-1) ?? 0;
/** Far enough that the edges found for it don't make up for it. Share of the height. */
const WRONG = 0.5;
const whole = (fore: boolean): TrueStance[] =>
  made.stances
    .filter((s) => isFore(s.limb) === fore && s.onS > 0.1 && s.offS < lastS - 0.1)
    .sort((a, b) => a.onS - b.onS);

/** The track with the hoof of these stances moved forward by a share of the height, and some frames of it set by hand. */
function changed(stances: readonly TrueStance[], by: number, byHand: readonly TrueStance[] = []): Track {
  const points: Record<string, readonly (TrackPoint | null)[]> = { ...track.points };
  const change = (stance: TrueStance, of: (p: TrackPoint) => TrackPoint): void => {
    const name = HOOF[stance.limb];
    points[name] = (points[name] ?? []).map((p, i) => {
      const timeS = track.timesS[i] ?? 0;
      return p && timeS > stance.onS && timeS < stance.offS ? of(p) : p;
    });
  };
  for (const stance of stances) change(stance, (p) => ({ ...p, x: p.x + by * forwardPx }));
  for (const { limb, onS, offS } of byHand) {
    const midS = (onS + offS) / 2;
    const middle = { limb, onS: midS - 0.04, offS: midS + 0.04, printM: 0 };
    change(middle, (p) => ({ ...p, source: 'hand' }));
  }
  return { ...track, points: points as Track['points'] };
}

const isFound = (changedTrack: Track, { limb, onS, offS }: TrueStance): boolean =>
  analyseTrack(changedTrack, { withersM: options.withersM }).some((pass) =>
    pass.stances.some((s) => {
      const midS = ((s.onS ?? onS) + (s.offS ?? offS)) / 2;
      return s.limb === limb && Math.abs(midS - (onS + offS) / 2) < 0.3;
    }),
  );

describe('stances that lie elsewhere in the body', () => {
  const fores = whole(true);
  const stray = fores[Math.floor(fores.length / 2)];
  if (!stray) throw new Error('no whole stance');

  it('are left out', () => {
    expect(isFound(track, stray)).toBe(true);
    expect(isFound(changed([stray], WRONG), stray)).toBe(false);
  });
  it('are kept where someone put the hoof there', () => {
    expect(isFound(changed([stray], WRONG, [stray]), stray)).toBe(true);
  });
  it('are told by the stances put right, even where most are wrong', () => {
    const others = fores.filter((s) => s.limb !== stray.limb);
    expect(others.length).toBeGreaterThanOrEqual(3);
    // The other fore hoof is wrong all along, and of this limb little more than one stance was seen.
    const mostWrong = (byHand: readonly TrueStance[]): Track => {
      const base = changed([], 0, byHand);
      const points: Record<string, readonly (TrackPoint | null)[]> = { ...base.points };
      for (const { limb } of others.slice(0, 1)) {
        const hoof = base.points[HOOF[limb]];
        points[HOOF[limb]] = hoof.map((p) => p && { ...p, x: p.x + WRONG * forwardPx });
      }
      for (const name of [HOOF[stray.limb], FETLOCK[stray.limb]]) {
        const near = (timeS: number): boolean => timeS > stray.onS - 0.45 && timeS < stray.offS + 0.45;
        points[name] = base.points[name].map((p, i) => (near(track.timesS[i] ?? 0) ? p : null));
      }
      return { ...base, points: points as Track['points'] };
    };
    const found = (byHand: readonly TrueStance[]): boolean[] =>
      [stray, ...others].map((stance) => isFound(mostWrong(byHand), stance));
    expect(found([])).toEqual([false, ...others.map(() => true)]);
    expect(found([stray])).toEqual([true, ...others.map(() => false)]);
  });
});
