/** The network on drawn led horses of all views. */
import type { Box } from '../../../src/clip/types.ts';
import { overlap } from '../../../src/pose/boxes.ts';
import type { Engine } from '../../../src/pose/engine.ts';
import type { HorsePose } from '../../../src/pose/types.ts';
import { DRAWN_BARS, errorRows, shareRow, type Row } from './bars.ts';
import type { DrawnFile } from './drawn.ts';
import { exchanged, pointErrors, type Label } from './errors.ts';
import { horseIn } from './looks.ts';

export interface LookedDrawn {
  readonly picture: DrawnFile;
  readonly pose: HorsePose | null;
}

export async function lookAtDrawn(
  engine: Engine,
  pictures: readonly DrawnFile[],
  say: (text: string) => void,
): Promise<LookedDrawn[]> {
  const looked: LookedDrawn[] = [];
  for (const picture of pictures) {
    looked.push({ picture, pose: await horseIn(engine, picture.path, { bothWays: true }) });
    if (looked.length % 60 === 0) say(`${looked.length} of ${pictures.length} drawn pictures looked at`);
  }
  return looked;
}

/** Boxes that overlap by this share of what both cover mean one horse. */
const SAME_HORSE = 0.3;

function extent(points: readonly Label[]): Box {
  const inside = points.filter(([, , seen]) => seen > 0);
  const [xs, ys] = [inside.map(([x]) => x), inside.map(([, y]) => y)];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}

function viewRows(set: string, looked: readonly LookedDrawn[]): Row[] {
  const of = looked.map(({ picture, pose }) => ({ ...picture, horse: String(picture.seed), pose }));
  const errors = of.flatMap(({ points, withersPx, horse, pose }) =>
    pointErrors(points, pose?.points ?? {}, withersPx, horse),
  );
  const sides = of.flatMap(({ points, withersPx, horse, pose }) => {
    const wrong = pose && exchanged(points, pose.points, withersPx);
    return wrong === null ? [] : [{ holds: !wrong, horse }];
  });
  const there = of.map(({ points, horse, pose }) => ({
    horse,
    holds: pose !== null && overlap(pose.box, extent(Object.values(points))) > SAME_HORSE,
  }));
  const views = of.map(({ view, horse, pose }) => ({ holds: pose?.view === view, horse }));
  return [
    ...errorRows(set, errors, DRAWN_BARS),
    shareRow(set, 'pictures', 'the horse found', there),
    shareRow(set, 'horses', 'left and right named rightly', sides),
    shareRow(set, 'pictures', 'view told rightly', views),
  ];
}

export const drawnRows = (looked: readonly LookedDrawn[]): Row[] =>
  (['left', 'right', 'away', 'towards'] as const).flatMap((view) =>
    viewRows(
      `drawn, ${view}`,
      looked.filter(({ picture }) => picture.view === view),
    ),
  );
