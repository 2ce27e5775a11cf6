/** What the command line calls in a headless browser: the same way as the page's, without the page. */
import { analyseFile, type AnalysisListeners, withKeypoints } from './analysis.ts';
import type { GroundDistance } from './gait/index.ts';
import { timeChain, timeStages } from './bench.ts';
import { measure } from './pipeline.ts';
import { Pace } from './recorder.ts';
import type { Keypoints } from './pose/client.ts';
import type { HorsePose } from './pose/types.ts';
import {
  keypointsFile,
  resultFile,
  whyNoPass,
  withProbabilities,
  type KeypointsFile,
  type ResultFile,
} from './report/contract.ts';

export interface PhotoResult {
  readonly file: string;
  /** Scores are probabilities, as in the points of a clip. */
  readonly horses: readonly HorsePose[];
  /** Why the picture could not be read. */
  readonly error?: string;
}

const given = (): File[] => [...((document.getElementById('files') as HTMLInputElement).files ?? [])];

const clipGiven = (): File => {
  const [file] = given();
  if (!file) throw new Error('No clip was given');
  return file;
};

interface Analysed {
  readonly result: ResultFile;
  readonly keypoints: KeypointsFile;
  /** For the user: what is wrong with the file, why there is no pass. */
  readonly remarks: readonly string[];
}

const TELL_EVERY_MS = 5000;

/** Tells the command line now and then how far the reading is. */
function progressOf(name: string): AnalysisListeners {
  let pace: Pace | null = null;
  let toldMs = performance.now();
  return {
    onClip: (clip) => void (pace = new Pace(clip)),
    onFrame({ timeS }) {
      if (!pace || performance.now() - toldMs < TELL_EVERY_MS) return;
      toldMs = performance.now();
      const { doneS, durationS, secondsLeft } = pace.progress('', timeS);
      const left = secondsLeft === null ? '' : `, about ${Math.ceil(secondsLeft)} s left`;
      globalThis.tell?.(`${name}: ${doneS.toFixed(1)} of ${(durationS ?? 0).toFixed(1)} s${left}`);
    },
  };
}

async function analyse(
  withersM: number | null,
  distance: Omit<GroundDistance, 'kind' | 'id'> | null = null,
): Promise<Analysed> {
  const file = clipGiven();
  const { seen } = await analyseFile(file, progressOf(file.name));
  const corrections = distance ? [{ kind: 'distance' as const, id: 'given', ...distance }] : [];
  const gait = measure(seen, corrections, withersM);
  const result = resultFile(seen, gait, withersM);
  const { damage } = result.clip;
  const remarks = [...(damage === undefined ? [] : [damage]), ...whyNoPass(result)];
  return { result, keypoints: keypointsFile(seen, gait), remarks };
}

const keypoints = (): Promise<PhotoResult[]> => withKeypoints(undefined, inPhotos);

async function inPhotos(worker: Keypoints): Promise<PhotoResult[]> {
  const results: PhotoResult[] = [];
  await worker.start({ baseUrl: new URL('.', document.baseURI).href, bothWays: true });
  for (const file of given()) {
    // The camera's turn (EXIF) is applied, as every viewer does.
    const picture = await createImageBitmap(file, { imageOrientation: 'from-image' }).catch(() => null);
    results.push(
      picture
        ? {
            file: file.name,
            horses: (await worker.photo(picture)).map((h) => withProbabilities(h, 'bothWays')),
          }
        : { file: file.name, horses: [], error: `${file.name} is not a picture that can be read` },
    );
  }
  return results;
}

export const commands = {
  analyse,
  keypoints,
  benchStages: () => timeStages(clipGiven()),
  benchChain: () => timeChain(clipGiven()),
};
declare global {
  /** Given by the command line: a line for the user. */
  var tell: ((text: string) => void) | undefined;
  var ledwalk: typeof commands;
}
globalThis.ledwalk = commands;
