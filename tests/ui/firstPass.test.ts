/** A clip with several passes opens on its first one, although its newest picture was shown while it was read. */
import { expect, it } from 'vitest';
import type { Engine } from '../../src/ui/engine.ts';
import { Session } from '../../src/ui/session.ts';
import { fixtureGait } from './fixtureGait.ts';
import { TIMES } from './fixtureTrack.ts';

const none = () => Promise.resolve();
const engine: Engine = {
  samples: [],
  analyse: (_, { onFrames }) => {
    onFrames(TIMES.map((timeS) => ({ timeS, horse: null, people: [], handlerFeet: [] })));
    session.frame.value = TIMES.length - 1;
    return Promise.resolve({ damage: null, networkVersion: '', ranOn: null, frames: 1, pick: null });
  },
  remeasure: (corrections, withersM) => {
    const side = { kind: 'side', direction: 'left' } as const;
    return fixtureGait(corrections, withersM, [
      { ...side, startS: 1, endS: 2 },
      { ...side, startS: 3, endS: TIMES.at(-1) ?? 0 },
    ]);
  },
  findHorses: () => Promise.resolve([]),
  loadEdits: () => Promise.resolve([]),
  appendEdit: none,
  keepHeight: none,
  exportJson: () => '',
};
const session = new Session(Promise.resolve(engine));

it('a clip with two passes opens on the first', async () => {
  await session.read(new File([], 'drawn.mp4'));
  expect(session.passes.value).toHaveLength(2);
  expect(session.passIndex.value).toBe(0);
  expect(session.timeS.value).toBeCloseTo(1, 1);
  expect(session.notice.value).toBe('');
});
