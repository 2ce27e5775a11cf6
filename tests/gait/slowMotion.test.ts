/** Clips that are played slower than they were filmed: phones' slow motion is handed on at 30 pictures a second. */
import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import type { SidePass } from '../../src/gait/types.ts';
import { buildTrack } from '../../src/track/build.ts';
import { WALKING_SPEED_MPS } from '../oracles/walk.ts';
import { walk, type WalkOptions } from '../support/kinematic.ts';
import { value } from './support.ts';

/** A usual walk filmed at 120 pictures a second and played so many times slower. */
function played(slower: number, options: Partial<WalkOptions> = {}): SidePass {
  const made = walk({ noise: 1, fps: 120, strides: 3, ...options });
  const frames = made.frames.map((f) => ({ ...f, timeS: f.timeS * slower }));
  const track = buildTrack(frames, null, [], { widthPx: 1920, heightPx: 1080 });
  const [pass] = analyseTrack(track, { withersM: made.options.withersM });
  if (!pass) throw new Error('no pass');
  return pass;
}

const TIMED = ['strideDurationS', 'cadencePerMin', 'speedMps', 'froude'] as const;

describe('slow motion', () => {
  it.each([1, 1.2])('played %f times slower: nothing said', (slower) => {
    expect(played(slower).warnings).not.toContain('slowMotion');
  });
  it('the slowest published walk (Gmel et al. 2024, J Equine Vet Sci 133:105005) is none', () => {
    const strideDurationS = 1.75 / WALKING_SPEED_MPS[0];
    expect(played(1, { strideDurationS }).warnings).not.toContain('slowMotion');
  });
  it('played at half speed: values, which count only if it was not', () => {
    const pass = played(2);
    expect(pass.warnings).toContain('slowMotion');
    expect(value(pass.measures.strideDurationS).value).toBeCloseTo(2 * 1.12, 1);
  });
  it.each([4, 6])('played %i times slower: no times, and everything else as it is', (slower) => {
    const [usual, slow] = [played(1), played(slower)];
    expect(slow.warnings).toContain('slowMotion');
    for (const name of TIMED) expect(slow.measures[name]).toEqual({ reason: 'slowMotion' });
    for (const name of ['strideLengthM', 'overtrackM', 'lateralLagFraction', 'dutyFactorFore'] as const)
      expect(value(slow.measures[name]).value).toBeCloseTo(value(usual.measures[name]).value, 2);
  });
  it('no whole stride seen: no speed either', () => {
    const pass = played(4, { strides: 0.7 });
    expect(pass.measures.speedMps).toEqual({ reason: 'slowMotion' });
  });
});
