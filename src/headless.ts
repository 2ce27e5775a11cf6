/** What the command line calls in a headless browser: the same way as the page's, without the page. */
import { analyseFile, withKeypoints } from './analysis.ts';
import type { GroundDistance } from './gait/index.ts';
import { timeChain, timeStages } from './bench.ts';
import { measure } from './pipeline.ts';
import type { Keypoints } from './pose/client.ts';
import type { HorsePose } from './pose/types.ts';
import { keypointsFile, resultFile, type KeypointsFile, type ResultFile } from './report/contract.ts';

export interface PhotoResult {
  readonly file: string;
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

async function analyse(
  withersM: number | null,
  distance: Omit<GroundDistance, 'kind' | 'id'> | null = null,
): Promise<{ result: ResultFile; keypoints: KeypointsFile }> {
  const { seen } = await analyseFile(clipGiven());
  const corrections = distance ? [{ kind: 'distance' as const, id: 'given', ...distance }] : [];
  const gait = measure(seen, corrections, withersM);
  return { result: resultFile(seen, gait, withersM), keypoints: keypointsFile(seen, gait) };
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
        ? { file: file.name, horses: await worker.photo(picture) }
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
  var ledwalk: typeof commands;
}
globalThis.ledwalk = commands;
