/** Stands in for the engine while the page is tried: reads the drawn clip and keeps what is done to it. */
import type { Box, ClipInfo } from '../../src/clip/types.ts';
import type { Edit } from '../../src/horse/edits.ts';
import type { AnalyseOptions, ClipReading, Engine } from '../../src/ui/engine.ts';
import { astrayGait, courseGait, fixtureGait } from './fixtureGait.ts';
import { FPS, FRAMES, HEIGHT_PX, WIDTH_PX } from './fixtureHorse.ts';
import { TIMES } from './fixtureTrack.ts';

const pause = (ms: number, signal: AbortSignal) =>
  new Promise<void>((resolve, reject) => {
    setTimeout(resolve, ms);
    signal.addEventListener('abort', () => reject(new DOMException('Cancelled', 'AbortError')));
  });

export interface FixtureOptions {
  /** How long the reading takes, ms. */
  readonly readingMs: number;
  /** How long it takes for a horse that was chosen, ms. */
  readonly againMs?: number;
  readonly samples: Engine['samples'];
  /** Some hooves are seen beside their places. */
  readonly astray?: boolean;
  /** More than a walk past. */
  readonly course?: boolean;
}

/** Heights are kept with the name of the clip, in the session store of the tab. */
let lastFile = '';
const heightKey = (): string => `height of ${lastFile}`;

async function analyse(file: File, options: AnalyseOptions, readingMs: number): Promise<ClipReading> {
  if (!file.type.startsWith('video/')) throw new Error('This is not a video.');
  const clip: ClipInfo = {
    name: file.name,
    sizeBytes: file.size,
    container: 'MP4',
    codec: 'avc',
    widthPx: WIDTH_PX,
    heightPx: HEIGHT_PX,
    rotationDeg: 0,
    startS: 0,
    durationS: FRAMES / FPS,
    meanFps: FPS,
    decoder: 'webcodecs',
  };
  lastFile = file.name;
  const keptM = Number(sessionStorage.getItem(heightKey()) ?? '');
  if (keptM > 0) options.onHeight(keptM);
  else sessionStorage.setItem(heightKey(), String(options.withersM ?? ''));
  options.onClip(clip, 'fixture');
  options.onVideo({ url: URL.createObjectURL(file), offsetS: 0 });
  const steps = 10;
  for (let step = 1; step <= steps; step++) {
    await pause(readingMs / steps, options.signal);
    const [from, to] = [step - 1, step].map((edge) => Math.round((edge / steps) * FRAMES));
    const newTimes = TIMES.slice(from, to);
    options.onFrames(newTimes.map((timeS) => ({ timeS, horse: null, people: [], handlerFeet: [] })));
    const doneS = (step / steps) * clip.durationS;
    const secondsLeft = (readingMs * (1 - step / steps)) / 1000;
    options.onProgress({ stage: 'Following the horse', doneS, durationS: clip.durationS, secondsLeft });
  }
  return {
    damage: null,
    networkVersion: 'fixture',
    ranOn: { backend: 'wasm', failed: null, refused: [] },
    frames: FRAMES,
    pick: options.pick ?? null,
  };
}

/** Two horses, px of the picture. */
export const HORSES: readonly Box[] = [
  [300, 150, 700, 480],
  [40, 200, 240, 400],
];

const keptEdits = (clipId: string): readonly Edit[] =>
  JSON.parse(sessionStorage.getItem(clipId) ?? '[]') as Edit[];

/** Edits are kept in the session store of the tab, so that a reload finds them. */
export function fixtureEngine(options: FixtureOptions): Engine {
  const { readingMs, againMs = readingMs, samples, astray, course } = options;
  return {
    samples,
    analyse: (file, of) => analyse(file, of, of.pick ? againMs : readingMs),
    remeasure: astray ? astrayGait : course ? courseGait : fixtureGait,
    findHorses: () => Promise.resolve(HORSES),
    keepHeight: (withersM) => {
      sessionStorage.setItem(heightKey(), String(withersM ?? ''));
      return Promise.resolve();
    },
    loadEdits: (clipId) => Promise.resolve(keptEdits(clipId)),
    appendEdit: (clipId, edit) => {
      sessionStorage.setItem(clipId, JSON.stringify([...keptEdits(clipId), edit]));
      return Promise.resolve();
    },
    exportJson: (clip, gait) =>
      JSON.stringify({ schema: 'ledwalk/1', clip: clip.name, passes: gait.passes.length }),
  };
}
