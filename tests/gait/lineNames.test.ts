/** Left and right of legs seen from behind or from the front, where the network takes them for each other. */
import { expect, it } from 'vitest';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import { HOOF, LIMBS, mirrorName, type PointName } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame } from '../../src/track/types.ts';
import { lineClip, PICTURE, type Line } from './lineClips.ts';

/** The forelegs named for each other. */
function exchanged(frame: ObservedFrame): ObservedFrame {
  if (!frame.horse) return frame;
  const named = Object.entries(frame.horse.points).map(([name, p]) => [
    name.includes('_fore_') ? mirrorName(name as PointName) : name,
    p,
  ]);
  return { ...frame, horse: { ...frame.horse, points: Object.fromEntries(named) as never } };
}

const lines = Array.from({ length: 6 }, (_, i) => lineClip(i));

it.each(lines.map((line, i) => [i, line] as const))(
  'tells them by where they are, way %i',
  (_, line: Line) => {
    const { frames } = line;
    const mixed = frames.map((frame, i) => (i < 0.4 * frames.length ? exchanged(frame) : frame));
    const [track, plain] = [mixed, frames].map((seen) => buildTrack(seen, null, [], PICTURE));
    for (const limb of LIMBS) {
      const apart = frames.flatMap(({ horse }, i) => {
        const [p, q] = [plain, track].map((one) => one?.points[HOOF[limb]][i]);
        const heightPx = horse ? horse.box[3] - horse.box[1] : NaN;
        return p && q ? [Math.hypot(p.x - q.x, p.y - q.y) / heightPx] : [];
      });
      expect(apart.length).toBeGreaterThan(0.8 * frames.length);
      expect(apart.filter((share) => share < 0.05).length / apart.length).toBeGreaterThan(0.95);
    }
  },
);

it('leaves out prints of legs that are taken for each other all the way', () => {
  for (const line of lines) {
    // As the tracker would give it where it is mistaken all along: it is told by hand.
    const track = buildTrack(line.frames, null, [], PICTURE);
    const { left_fore_hoof, right_fore_hoof } = track.points;
    const points = { ...track.points, left_fore_hoof: right_fore_hoof, right_fore_hoof: left_fore_hoof };
    const right = analyseLinePass(track, line.truth, line.withersM).measures;
    const wrong = analyseLinePass({ ...track, points }, line.truth, line.withersM).measures;
    expect('value' in right.baseWidthForeM && right.baseWidthForeM.value).toBeGreaterThan(0.1);
    expect(wrong.baseWidthForeM).toEqual({ reason: 'tooFewStrides' });
    const hind = [wrong, right].map(({ baseWidthHindM: m }) => ('value' in m ? m.value : NaN));
    expect(hind[0]).toBeCloseTo(hind[1] as number, 9);
  }
});
