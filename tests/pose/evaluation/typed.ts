/** The network on pictures with typed labels: errors, sides, views, and what its scores are worth. */
import type { Engine } from '../../../src/pose/engine.ts';
import type { HorsePose } from '../../../src/pose/types.ts';
import { groupOf, type Way } from '../../../src/pose/reliability.ts';
import { AXIS_BARS, errorRows, HAND_BARS, shareRow, SIDES_BAR, type Row } from './bars.ts';
import type { HandPicture } from './data.ts';
import { exchanged, heightPx, pointErrors, type PointError } from './errors.ts';
import { horseIn } from './looks.ts';
import type { Witness } from './reliability.ts';

export interface Looked {
  readonly picture: HandPicture;
  /** As a single picture is looked at: mean with its mirror image. */
  readonly bothWays: HorsePose | null;
  /** As a frame of a clip is; looked at so for the scores' sake, where it is held out. */
  readonly once: HorsePose | null;
}

export async function lookAtTyped(
  engine: Engine,
  folder: string,
  pictures: readonly HandPicture[],
  say: (text: string) => void,
): Promise<Looked[]> {
  const looked: Looked[] = [];
  for (const picture of pictures) {
    const path = `${folder}/${picture.path}`;
    const bothWays = await horseIn(engine, path, { bothWays: true });
    const once = picture.part === 'val' ? await horseIn(engine, path, {}) : null;
    looked.push({ picture, bothWays, once });
    if (looked.length % 20 === 0) say(`${looked.length} of ${pictures.length} typed pictures looked at`);
  }
  return looked;
}

/** Of pictures whose height at the withers is labelled. */
export function errorsOf(looked: readonly Looked[], way: Way): PointError[] {
  return looked.flatMap(({ picture: { labels, horse }, [way]: pose }) => {
    const tallPx = heightPx(labels);
    return tallPx === null ? [] : pointErrors(labels, pose?.points ?? {}, tallPx, horse);
  });
}

/** A horse that is not found has no sides to mistake: it counts in the errors. */
function sides(looked: readonly Looked[]): { holds: boolean; horse: string }[] {
  return looked.flatMap(({ picture: { labels, horse }, bothWays }) => {
    const tallPx = heightPx(labels);
    if (tallPx === null || !bothWays) return [];
    const wrong = exchanged(labels, bothWays.points, tallPx);
    return wrong === null ? [] : [{ holds: !wrong, horse }];
  });
}

const views = (looked: readonly Looked[]): { holds: boolean; horse: string }[] =>
  looked.map(({ picture: { views: told, horse }, bothWays }) => ({
    holds: told.includes(bothWays?.view ?? ''),
    horse,
  }));

function sideRows(set: string, looked: readonly Looked[]): Row[] {
  return [
    ...errorRows(set, errorsOf(looked, 'bothWays'), HAND_BARS),
    shareRow(set, 'horses', 'left and right named rightly', sides(looked), SIDES_BAR),
    shareRow(set, 'pictures', 'view told rightly', views(looked)),
  ];
}

/** Of pictures trained on no bar can be shown to be met. */
const withoutBars = (rows: readonly Row[]): Row[] =>
  rows.map(({ atLeast: _, atMost: __, ...rest }) => ({ ...rest, met: null }));

function axisRows(looked: readonly Looked[], view: 'away' | 'towards'): Row[] {
  const of = (set: string, part: HandPicture['part']): Row[] => {
    const own = looked.filter(({ picture }) => picture.part === part && picture.view === view);
    return [
      ...errorRows(set, errorsOf(own, 'bothWays'), AXIS_BARS),
      shareRow(set, 'pictures', 'view told rightly', views(own)),
    ];
  };
  return [...of(view, 'val'), ...withoutBars(of(`${view}, TRAINED ON`, 'train'))];
}

/** Rows of what is held out; of the views away and towards, of which little or nothing is, those trained on as well. */
export function typedRows(looked: readonly Looked[]): Row[] {
  const side = looked.filter(
    ({ picture: { part, view } }) => part === 'val' && (view === 'left' || view === 'right'),
  );
  return [
    ...sideRows(
      'photographs',
      side.filter(({ picture }) => !picture.walking),
    ),
    ...sideRows(
      'ridden walk',
      side.filter(({ picture }) => picture.walking),
    ),
    ...axisRows(looked, 'away'),
    ...axisRows(looked, 'towards'),
  ];
}

/** Points labelled as seen, of horses that no training has seen, and found. */
export function witnesses(looked: readonly Looked[], way: Way): Witness[] {
  return errorsOf(
    looked.filter(({ picture }) => picture.part === 'val'),
    way,
  )
    .filter(({ seen, score }) => seen && score > 0)
    .map(({ name, horse, score, percentH }) => ({ horse, score, percentH, group: groupOf(name) }));
}
