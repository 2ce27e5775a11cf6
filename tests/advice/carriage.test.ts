/** Nothing is told of how a head is carried where the core refuses to measure it. */
import { describe, expect, it } from 'vitest';
import { headTurns, highHeads } from '../../src/advice/carriage.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { buildTrack } from '../../src/track/build.ts';
import { lineClip, PICTURE } from '../gait/lineClips.ts';
import { coachedWalk, ledBy, plainWalk } from './support.ts';

describe('how the head is carried', () => {
  it('is not told of a way back on which the ground was lost, or the near hooves', () => {
    const straight = lineClip(1, { headTurnDeg: 0, headSwayDeg: 2 });
    const turned = lineClip(1, { headTurnDeg: 12, headSwayDeg: 2 });
    const frames = straight.frames.map((frame, k) =>
      frame.timeS >= 2 && frame.timeS < 3.5 ? (turned.frames[k] ?? frame) : frame,
    );
    const track = buildTrack(frames, null, [], PICTURE);
    const turns = (seen: typeof track) => headTurns(ledBy(frames), seen, straight.truth);
    expect(turns(track)).toHaveLength(1);
    expect(turns({ ...track, groundLost: track.timesS.map(() => true) })).toEqual([]);
    const hidden = track.points.left_fore_hoof.map((p, i) => (i % 5 < 2 ? p : null));
    expect(turns({ ...track, points: { ...track.points, left_fore_hoof: hidden } })).toEqual([]);
  });

  it('is not told of a walk past whose head is not measured', () => {
    const { made, track } = coachedWalk({ ...plainWalk(1), headAboveM: 0.4 });
    const [pass] = analyseTrack(track, { withersM: made.options.withersM });
    if (!pass) throw new Error('no pass');
    expect(highHeads(pass)).toHaveLength(1);
    const none = { ...pass.inWithersHeights, headAboveWithersH: { reason: 'slowMotion' } } as const;
    expect(highHeads({ ...pass, inWithersHeights: none })).toEqual([]);
  });
});
