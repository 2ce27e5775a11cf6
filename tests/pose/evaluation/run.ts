/** All of it: what `npm run network` prints. */
import type { Engine } from '../../../src/pose/engine.ts';
import type { Group, GroupReliability, Way } from '../../../src/pose/reliability.ts';
import { sharedPath } from '../../support/shared.ts';
import type { Row } from './bars.ts';
import { handPictures, walkClips, type WalkClip } from './data.ts';
import { drawnPictures } from './drawn.ts';
import { drawnRows, lookAtDrawn } from './drawnRows.ts';
import { engineOf } from './looks.ts';
import { losses, reliability, reliabilityTable, type Bin, type Losses, type Witness } from './reliability.ts';
import { lookAtTyped, typedRows, witnesses } from './typed.ts';
import { shifts } from './walk.ts';
import { trackedTypedRows, walk, walkRows, type Walked } from './walkRows.ts';

/** No training has seen these: the first five are named in the data's README, the others are those of the real clips. */
const HELD_OUT = ['h05', 'h12', 'h19', 'h25', 'h33'];
const HELD_OUT_TOO = ['h23', 'h27', 'h39'];

export const PARTS = ['typed', 'walk', 'drawn'] as const;
export type PartName = (typeof PARTS)[number];

export interface ReliabilityReport {
  readonly way: Way;
  readonly losses: Losses;
  readonly table: readonly Bin[];
  readonly groups: Partial<Record<Group, GroupReliability>>;
}
export interface Report {
  readonly version: string;
  readonly rows: readonly Row[];
  readonly reliability: readonly ReliabilityReport[];
}

const reliabilityOf = (way: Way, list: readonly Witness[]): ReliabilityReport => ({
  ...{ way, losses: losses(list), table: reliabilityTable(list), groups: reliability(list) },
});

type Say = (text: string) => void;

async function typedPart(engine: Engine, folder: string, say: Say): Promise<Omit<Report, 'version'>> {
  const wanted = handPictures(folder).filter(
    ({ part, view }) => part === 'val' || view === 'away' || view === 'towards',
  );
  const looked = await lookAtTyped(engine, folder, wanted, say);
  const ways = ['once', 'bothWays'] as const;
  return {
    rows: typedRows(looked),
    reliability: ways.map((way) => reliabilityOf(way, witnesses(looked, way))),
  };
}

async function walkPart(engine: Engine, folder: string, say: Say): Promise<Row[]> {
  const [hand, clips] = [handPictures(folder), walkClips(folder)];
  const isHeldOut = ({ horse }: WalkClip): boolean => [...HELD_OUT, ...HELD_OUT_TOO].includes(horse);
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
  return [
    ...trackedTypedRows('ridden walk, tracked', walked, hand),
    ...walkRows('walk, 5 horses, against another network', of(HELD_OUT), by),
    ...walkRows('walk, 3 more', of(HELD_OUT_TOO), by),
  ];
}

/** Measures the network in a folder. What lacks its data is left out; `sharedPath` says so. */
export async function measureNetwork(network: string, parts: readonly PartName[], say: Say): Promise<Report> {
  const engine = await engineOf(network);
  const folder = parts.some((part) => part !== 'drawn') ? sharedPath('horse-data') : null;
  const typed = folder && parts.includes('typed') ? await typedPart(engine, folder, say) : null;
  const walks = folder && parts.includes('walk') ? await walkPart(engine, folder, say) : [];
  const drawn = parts.includes('drawn')
    ? drawnRows(await lookAtDrawn(engine, await drawnPictures(say), say))
    : [];
  return {
    version: engine.network.version,
    rows: [...(typed?.rows ?? []), ...walks, ...drawn],
    reliability: typed?.reliability ?? [],
  };
}
