/** All of it: what `npm run network` prints. */
import { sharedPath } from '../../support/shared.ts';
import type { Row } from './bars.ts';
import { handPictures, walkClips } from './data.ts';
import { drawnPictures } from './drawn.ts';
import { drawnRows, lookAtDrawn } from './drawnRows.ts';
import type { Group } from './errors.ts';
import { engineOf } from './looks.ts';
import {
  losses,
  reliability,
  reliabilityTable,
  type Bin,
  type GroupReliability,
  type Losses,
  type Witness,
} from './reliability.ts';
import { lookAtTyped, typedRows, witnesses } from './typed.ts';
import { shifts } from './walk.ts';
import { trackedTypedRows, walk, walkRows, type Walked } from './walkRows.ts';

/** No training has seen these: the first five are named in the data's README, the others are those of the real clips. */
const HELD_OUT = ['h05', 'h12', 'h19', 'h25', 'h33'];
const HELD_OUT_TOO = ['h23', 'h27', 'h39'];

export const PARTS = ['typed', 'walk', 'drawn'] as const;
export type PartName = (typeof PARTS)[number];

export interface Reliability {
  /** How the horse was looked at: a clip's frame, or a single picture with its mirror image. */
  readonly way: 'once' | 'bothWays';
  readonly losses: Losses;
  readonly table: readonly Bin[];
  readonly groups: Partial<Record<Group, GroupReliability>>;
}
export interface Report {
  readonly version: string;
  readonly rows: readonly Row[];
  readonly reliability: readonly Reliability[];
}

const reliabilityOf = (way: Reliability['way'], list: readonly Witness[]): Reliability => ({
  ...{ way, losses: losses(list), table: reliabilityTable(list), groups: reliability(list) },
});

/** Measures the network in a folder. What lacks its data is left out; `sharedPath` says so. */
export async function measureNetwork(
  network: string,
  parts: readonly PartName[],
  say: (text: string) => void,
): Promise<Report> {
  const engine = await engineOf(network);
  const folder = sharedPath('horse-data');
  const rows: Row[] = [];
  const tables: Reliability[] = [];
  const hand = folder ? handPictures(folder) : [];
  if (folder && parts.includes('typed')) {
    const wanted = hand.filter(({ part, view }) => part === 'val' || view === 'away' || view === 'towards');
    const looked = await lookAtTyped(engine, folder, wanted, say);
    rows.push(...typedRows(looked));
    for (const way of ['once', 'bothWays'] as const) tables.push(reliabilityOf(way, witnesses(looked, way)));
  }
  if (folder && parts.includes('walk')) {
    const clips = walkClips(folder);
    const isHeldOut = ({ horse }: { horse: string }): boolean =>
      [...HELD_OUT, ...HELD_OUT_TOO].includes(horse);
    const by = shifts(
      hand.filter(({ part }) => part === 'train'),
      clips.filter((clip) => !isHeldOut(clip)),
    );
    const walked: Walked[] = [];
    for (const clip of clips.filter(isHeldOut)) {
      walked.push(await walk(engine, folder, clip));
      say(`${clip.clip} of horse ${clip.horse} followed`);
    }
    const of = (horses: readonly string[]): Walked[] =>
      walked.filter(({ clip }) => horses.includes(clip.horse));
    rows.push(...trackedTypedRows('ridden walk, tracked', walked, hand));
    rows.push(...walkRows('walk, 5 horses, against another network', of(HELD_OUT), by));
    rows.push(...walkRows('walk, 3 more', of(HELD_OUT_TOO), by));
  }
  if (parts.includes('drawn'))
    rows.push(...drawnRows(await lookAtDrawn(engine, await drawnPictures(say), say)));
  return { version: engine.network.version, rows, reliability: tables };
}
