/** What the command line calls in a headless browser: the same way as the page's, without the page. */
import { analyseFile } from './analysis.ts';
import { measureStages, type BenchResult } from './bench.ts';
import { measure } from './pipeline.ts';
import { startKeypoints } from './pose/client.ts';
import type { HorsePose } from './pose/types.ts';
import { keypointsFile, resultFile, type KeypointsFile, type ResultFile } from './report/contract.ts';

export interface PhotoResult {
  readonly file: string;
  readonly horses: readonly HorsePose[];
  /** Why the picture could not be read. */
  readonly error?: string;
}

const given = (): File[] => [...((document.getElementById('files') as HTMLInputElement).files ?? [])];

async function analyse(withersM: number | null): Promise<{ result: ResultFile; keypoints: KeypointsFile }> {
  const [file] = given();
  if (!file) throw new Error('No clip was given');
  const { seen } = await analyseFile(file);
  const gait = measure(seen, [], withersM);
  return { result: resultFile(seen, gait, withersM), keypoints: keypointsFile(seen, gait) };
}

async function keypoints(): Promise<PhotoResult[]> {
  const worker = startKeypoints();
  const results: PhotoResult[] = [];
  await worker.start({ baseUrl: new URL('.', document.baseURI).href, bothWays: true });
  for (const file of given()) {
    try {
      // The camera's turn (EXIF) is applied, as every viewer does.
      const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
      results.push({ file: file.name, horses: await worker.photo(picture) });
    } catch (cause) {
      results.push({
        file: file.name,
        horses: [],
        error: `${file.name} is not a picture that can be read: ${String(cause)}`,
      });
    }
  }
  worker.end();
  return results;
}

async function bench(): Promise<BenchResult> {
  const [file] = given();
  if (!file) throw new Error('No clip was given');
  return measureStages(file);
}

export const commands = { analyse, keypoints, bench };
declare global {
  var ledwalk: typeof commands;
}
globalThis.ledwalk = commands;
