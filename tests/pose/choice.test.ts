import { describe, expect, it } from 'vitest';
import { agree, firstGood, type Candidate, type Seen, type Ways } from '../../src/pose/choice.ts';
import type { Network } from '../../src/pose/network.ts';
import type { BackendName } from '../../src/pose/tensors.ts';

const shown = (xPx: number, score = 0.8, left = 0.9): Seen => ({
  peaks: [{ x: xPx, y: 50, score }],
  view: [left, 1 - left],
});

describe('two runs agree', () => {
  it.each([
    ['to 0.09 px', shown(100.09), true],
    ['not to 0.11 px', shown(100.11), false],
    ['not where a score is another', shown(100, 0.82), false],
    ['not where the view is another', shown(100, 0.8, 0.85), false],
    ['not with a heatmap of zeros', shown(-0.5, 0), false],
    ['not with numbers that are none', shown(NaN, NaN), false],
  ])('%s', (_, other, same) => {
    expect(agree(shown(100), other)).toBe(same);
  });

  it('wherever a point lies that is not in the picture', () => {
    expect(agree(shown(100, 0.03), shown(7, 0.03))).toBe(true);
  });
});

/** Backends that are made up: what each shows and how long it takes; an Error where it can't start. */
type MadeUp = Partial<Record<BackendName, { seen?: Seen; ms: number } | Error>>;

function ways(madeUp: MadeUp, patienceMs = 1000) {
  const log: string[] = [];
  const note = (what: string) => () => void log.push(what);
  const start = (name: BackendName): Promise<Candidate> => {
    log.push(`${name} starts`);
    const made = madeUp[name];
    if (!made || made instanceof Error) return Promise.reject(made ?? new Error('none'));
    const use = (): Promise<void> => Promise.resolve(note(`${name} in use`)());
    return Promise.resolve({
      backend: { name, use, isLost: () => false, end: note(`${name} ends`) },
      network: { model: { dispose: note(`network on ${name} freed`) } } as unknown as Network,
      seen: made.seen ?? shown(100),
      measure: () => Promise.resolve(made.ms),
    });
  };
  const hasCard = (name: BackendName) => Promise.resolve(name in madeUp);
  return { log, start, hasCard, patienceMs } satisfies Ways & { log: string[] };
}

const failing = new Error('made to fail');

describe('of the backends', () => {
  it('WebGPU is taken where it is good, and WebGL is not even started', async () => {
    const given = ways({ wasm: { ms: 40 }, webgpu: { ms: 5 }, webgl: { ms: 1 } });
    const { backend, refused } = await firstGood(given);
    expect([backend.name, refused]).toEqual(['webgpu', []]);
    expect(given.log).toEqual([
      'wasm starts',
      'webgpu starts',
      'webgpu in use',
      'network on wasm freed',
      'wasm ends',
    ]);
  });

  it.each([
    ['can’t start', failing, 'not started'],
    ['gives other points', { ms: 5, seen: shown(100.2) }, 'other points'],
    ['is slower', { ms: 50 }, 'slower'],
  ] as const)('WebGL is taken where WebGPU %s', async (_, webgpu, why) => {
    const { backend, refused } = await firstGood(ways({ wasm: { ms: 40 }, webgpu, webgl: { ms: 10 } }));
    expect([backend.name, refused]).toEqual(['webgl', [{ backend: 'webgpu', why }]]);
  });

  it('wasm is taken where neither is good, and nothing of them is left', async () => {
    const given = ways({ wasm: { ms: 40 }, webgpu: { ms: 5, seen: shown(0, 0) }, webgl: { ms: 40 } });
    const { backend, refused } = await firstGood(given);
    expect(backend.name).toBe('wasm');
    expect(refused).toEqual([
      { backend: 'webgpu', why: 'other points' },
      { backend: 'webgl', why: 'slower' },
    ]);
    for (const name of ['webgpu', 'webgl'])
      expect(given.log).toEqual(expect.arrayContaining([`network on ${name} freed`, `${name} ends`]));
    expect(given.log.at(-1)).toBe('wasm in use');
  });

  it('none is started that leads to no graphics card', async () => {
    const given = ways({ wasm: { ms: 40 } });
    const { backend, refused } = await firstGood(given);
    expect([backend.name, refused]).toEqual(['wasm', []]);
    expect(given.log).toEqual(['wasm starts', 'wasm in use']);
  });

  it('none is waited for without end, and one that comes too late is freed', async () => {
    const given = ways({ wasm: { ms: 40 }, webgpu: { ms: 5 }, webgl: failing }, 20);
    let wake = (): void => undefined;
    const asleep = new Promise<void>((resolve) => (wake = resolve));
    const start: Ways['start'] = async (name) => {
      if (name === 'webgpu') await asleep;
      return given.start(name);
    };
    const { backend, refused } = await firstGood({ ...given, start });
    expect(backend.name).toBe('wasm');
    expect(refused.map(({ why }) => why)).toEqual(['not started', 'not started']);
    wake();
    await expect.poll(() => given.log).toContain('webgpu ends');
    expect(given.log).not.toContain('webgpu in use');
  });

  it('wasm must start', async () => {
    await expect(firstGood(ways({ wasm: failing, webgl: { ms: 1 } }))).rejects.toBe(failing);
  });
});
