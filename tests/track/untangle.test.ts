/** Legs are followed through each view by itself: what was mistaken while the horse turned ends where the turn does. */
import { expect, it } from 'vitest';
import { HOOF, LIMBS, mirrorName, type PointName } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { PICTURE } from './synthetic.ts';

const isFore = (name: string): boolean => name.includes('_fore_');

/** As the frame would be told of a horse that turns: seen from neither side, the names of its forelegs exchanged. */
function turning(frame: ObservedFrame): ObservedFrame {
  if (!frame.horse) return frame;
  const { points } = frame.horse;
  const named = Object.entries(points)
    .filter(([name]) => name !== 'muzzle')
    .map(([name, p]) => [isFore(name) ? mirrorName(name as PointName) : name, p]);
  const renamed = Object.fromEntries(named) as typeof points;
  return { ...frame, horse: { ...frame.horse, view: 'away', points: renamed } };
}

it.each([30, 60])('a mistake of a turn ends with it, at %i frames a second', (fps) => {
  const { frames } = walk({ fps, strides: 5, seed: 2 });
  const end = Math.round(2 * fps);
  const seen = frames.map((frame, i) => (i < end ? turning(frame) : frame));
  const track = buildTrack(seen, null, [], PICTURE);
  const after = frames.map((_, i) => i).filter((i) => i > end + fps / 2);
  expect(after.length).toBeGreaterThan(2 * fps);
  for (const limb of LIMBS) {
    const right = after.filter((i) => {
      const [p, q] = [frames[i]?.horse?.points[HOOF[limb]], track.points[HOOF[limb]][i]];
      return p && q && Math.hypot(p.x - q.x, p.y - q.y) < 5;
    });
    expect(right.length / after.length).toBeGreaterThan(0.98);
  }
});
