import { describe, expect, it } from 'vitest';
import type { AnalyseOptions, ClipReading, Engine } from '../../src/ui/engine.ts';
import { Session } from '../../src/ui/session.ts';

const info = {
  name: 'walk.mp4',
  sizeBytes: 1,
  container: 'mp4',
  codec: 'h264',
  widthPx: 640,
  heightPx: 360,
  rotationDeg: 0,
  startS: 0,
  durationS: 1,
  meanFps: 25,
  decoder: 'webcodecs',
} as const;
const reading: ClipReading = { damage: null, networkVersion: 'v1', ranOn: null, frames: 0, pick: null };

/** Reads nothing; keeps heights and edits by the name of the file. */
function keeper(named = true) {
  const heights = new Map<string, number | null>();
  const asked: string[] = [];
  let last = '';
  const engine: Engine = {
    samples: [],
    analyse(file: File, options: AnalyseOptions) {
      last = file.name;
      const height = heights.get(last) ?? null;
      if (height !== null) options.onHeight(height);
      options.onClip(info, named ? file.name : null);
      heights.set(last, height ?? options.withersM);
      return Promise.resolve(reading);
    },
    remeasure: () => ({
      track: { timesS: [], points: {}, motion: [] } as unknown as ReturnType<Engine['remeasure']>['track'],
      course: [],
      passes: [],
      corrections: [],
    }),
    findHorses: () => Promise.resolve([]),
    loadEdits: (clipId) => Promise.resolve(asked.push(clipId) ? [] : []),
    appendEdit: () => Promise.resolve(),
    keepHeight: (withersM) => Promise.resolve(void heights.set(last, withersM)),
    exportJson: () => '',
  };
  return { heights, asked, session: new Session(Promise.resolve(engine)) };
}

const file = (name: string): File => new File(['x'], name);

describe('the height at the withers', () => {
  it('that was kept with a clip counts, and the page says so', async () => {
    const { session, heights } = keeper();
    heights.set('mare.mp4', 1.625);
    await session.read(file('mare.mp4'));
    expect(session.withersM.value).toBe(1.625);
    expect(session.notice.value).toMatch(/162\.5\scm, kept with this clip/);
  });

  it('that was typed in for this clip counts more than the one kept, and is kept from then on', async () => {
    const { session, heights } = keeper();
    heights.set('mare.mp4', 1.62);
    session.setWithersM(1.48);
    await session.read(file('mare.mp4'));
    expect(session.withersM.value).toBe(1.48);
    expect(heights.get('mare.mp4')).toBe(1.48);
    expect(session.notice.value).toBe('');
  });

  it('that was typed in for a clip does not count for the next one that has its own', async () => {
    const { session, heights } = keeper();
    heights.set('colt.mp4', 1.35);
    session.setWithersM(1.48);
    await session.read(file('mare.mp4'));
    session.setWithersM(1.5);
    await session.read(file('colt.mp4'));
    expect(session.withersM.value).toBe(1.35);
    expect(Object.fromEntries(heights)).toEqual({ 'mare.mp4': 1.5, 'colt.mp4': 1.35 });
  });

  it('that was typed in while a clip was read is gone when it is cancelled', async () => {
    const { session, heights } = keeper();
    heights.set('colt.mp4', 1.35);
    const reading = session.read(file('mare.mp4'));
    session.setWithersM(1.48);
    session.cancel();
    await reading;
    await session.read(file('colt.mp4'));
    expect(session.withersM.value).toBe(1.35);
    expect(heights.get('colt.mp4')).toBe(1.35);
  });
});

it('of a clip that can’t be recognised no corrections are looked up', async () => {
  const { session, asked } = keeper(false);
  await session.read(file('mare.mp4'));
  expect(session.phase.value).toBe('done');
  expect(asked).toEqual([]);
});
