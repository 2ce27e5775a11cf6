/** What was seen in the bench's clips, kept in files: the core is measured again in seconds, without clips or network. */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { gunzipSync, gzipSync } from 'node:zlib';
import type { Observed } from '../../src/pipeline.ts';
import type { TruthFile } from '../truth/truth.ts';
import { heldAgainst } from './compare.ts';
import type { Sample } from './figures.ts';
import type { BenchClip } from './set.ts';

export interface Kept {
  readonly seen: Observed;
  readonly truth: TruthFile;
}

const filesOf = (folder: string, name: string): Record<keyof Kept, string> => ({
  seen: `${folder}/${name}.seen.json.gz`,
  truth: `${folder}/${name}.truth.json.gz`,
});

const write = (file: string, value: unknown): void => writeFileSync(file, gzipSync(JSON.stringify(value)));
const read = (file: string): unknown => JSON.parse(gunzipSync(readFileSync(file)).toString());

/** Writes NAME.seen.json.gz and NAME.truth.json.gz. */
export function keep(folder: string, name: string, { seen, truth }: Kept): void {
  mkdirSync(folder, { recursive: true });
  const files = filesOf(folder, name);
  write(files.truth, truth);
  write(files.seen, seen);
}

/** Null where nothing was kept of that clip. */
export function keptOf(folder: string, name: string): Kept | null {
  const files = filesOf(folder, name);
  if (!existsSync(files.seen)) return null;
  return { seen: read(files.seen) as Observed, truth: read(files.truth) as TruthFile };
}

/** Of those clips that the folder has. */
export function measureKept(
  folder: string,
  clips: readonly BenchClip[],
  say: (text: string) => void,
): Sample[] {
  return clips.flatMap((clip) => {
    const kept = keptOf(folder, clip.name);
    if (kept) return heldAgainst(clip, kept.seen, kept.truth, say);
    say(`${clip.name}: not in ${folder}`);
    return [];
  });
}
