/** After an edit that looks like a slip it is asked whether it was meant, and of nothing else. */
import { describe, expect, it } from 'vitest';
import type { ClipInfo } from '../../src/clip/types.ts';
import type { Engine } from '../../src/ui/engine.ts';
import { Session } from '../../src/ui/session.ts';
import { fixtureGait } from './fixtureGait.ts';
import { TIMES } from './fixtureTrack.ts';

const none = () => Promise.resolve();
const clip: ClipInfo = {
  name: 'drawn.mp4',
  sizeBytes: 1,
  container: 'mp4',
  codec: 'avc',
  widthPx: 960,
  heightPx: 540,
  rotationDeg: 0,
  startS: 0,
  durationS: 5,
  meanFps: 30,
  decoder: 'webcodecs',
};
const engine: Engine = {
  samples: [],
  analyse: (_, { onClip }) => {
    onClip(clip, 'clip');
    return Promise.resolve({ damage: null, networkVersion: '', ranOn: null, frames: 1, pick: null });
  },
  remeasure: fixtureGait,
  findHorses: () => Promise.resolve([]),
  loadEdits: () => Promise.resolve([]),
  appendEdit: none,
  keepHeight: none,
  exportJson: () => '',
};

describe('the question whether an edit was meant', () => {
  const timeS = TIMES[60] ?? 0;
  const move = (session: Session, x: number) =>
    session.hand.set(
      { kind: 'point', id: `to ${x}`, timeS, point: 'left_fore_hoof', x, y: 20 },
      'Point moved.',
    );
  async function slipped(): Promise<Session> {
    const session = new Session(Promise.resolve(engine));
    await session.read(new File([], clip.name));
    move(session, 20);
    return session;
  }

  it('is asked of a hoof far from its leg', async () => {
    expect((await slipped()).doubtful.value).toBe(true);
  });

  it('is gone with the notice, and is not asked of what is said next', async () => {
    const session = await slipped();
    session.notice.value = '';
    expect(session.doubtful.value).toBe(false);
    session.notice.value = 'Now the measures are those of pass 2 of 2.';
    expect(session.doubtful.value).toBe(false);
    session.setWithersM(1.6);
    expect(session.doubtful.value).toBe(false);
  });

  it('is gone when the edit is taken back', async () => {
    const session = await slipped();
    session.hand.undo();
    expect(session.notice.value).toMatch(/^Undone/);
    expect(session.doubtful.value).toBe(false);
  });
});
