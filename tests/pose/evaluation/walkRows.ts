/** The network on the walk's video frames, frame after frame and through the tracker, against the points that come with them. */
import { FETLOCK, HOOF, KNEE_OR_HOCK, POINT_NAMES, type Limb, type PointName } from '../../../src/points.ts';
import type { Engine } from '../../../src/pose/engine.ts';
import { buildTrack } from '../../../src/track/build.ts';
import type { ObservedFrame } from '../../../src/track/types.ts';
import { errorRows, EXCHANGED_BAR, HAND_BARS, shareRow, STANDING, WALK_BARS, type Row } from './bars.ts';
import { WALK_PX, type HandPicture, type WalkClip, type WalkFrame } from './data.ts';
import {
  exchanged,
  heightPx,
  onOtherLimb,
  pointErrors,
  type Found,
  type Labels,
  type PointError,
} from './errors.ts';
import { followed } from './looks.ts';
import { cleaned, heightsPx, shifted, standing, toSource, type Shifts } from './walk.ts';

/** Source pictures. */
const PICTURE = { widthPx: 2208, heightPx: 1242 };

export interface Walked {
  readonly clip: WalkClip;
  /** By frame, px of the source picture: as seen, and through the tracker. */
  readonly seen: readonly Found[];
  readonly tracked: readonly Found[];
}

function inSource(frame: WalkFrame, pose: ObservedFrame): ObservedFrame {
  if (!pose.horse) return pose;
  const { box, points } = pose.horse;
  const place = (x: number, y: number): { x: number; y: number } => {
    const [sx, sy] = toSource(frame, [x, y]);
    return { x: sx, y: sy };
  };
  const [a, b] = [place(box[0], box[1]), place(box[2], box[3])];
  const moved = Object.entries(points).map(([name, p]) => [name, { ...place(p.x, p.y), score: p.score }]);
  const horse = { ...pose.horse, box: [a.x, a.y, b.x, b.y] as const, points: Object.fromEntries(moved) };
  return { ...pose, horse };
}

/** Follows the horse through a clip's frames; the camera stood still. */
export async function walk(engine: Engine, folder: string, clip: WalkClip): Promise<Walked> {
  const files = clip.frames.map(({ path, timeS }) => ({ path: `${folder}/${path}`, timeS }));
  const poses = await followed(engine, files, WALK_PX);
  const frames = poses.map((pose, i) => inSource(clip.frames[i] as WalkFrame, pose));
  const track = buildTrack(frames, null, [], PICTURE);
  const tracked = frames.map((_, i): Found => {
    const own = POINT_NAMES.flatMap((name) => {
      const point = track.points[name][i];
      return point ? [[name, point] as const] : [];
    });
    return Object.fromEntries(own);
  });
  return { clip, seen: frames.map(({ horse }) => horse?.points ?? {}), tracked };
}

/** Every horse there shows its left side. */
const isNear = (name: PointName): boolean => !name.startsWith('right_');
const only = (labels: Labels, wanted: (name: PointName) => boolean): Labels =>
  Object.fromEntries(Object.entries(labels).filter(([name]) => wanted(name as PointName)));

interface Compared {
  readonly horse: string;
  readonly labels: Labels;
  readonly tallPx: number;
  readonly seen: Found;
  readonly tracked: Found;
  /** Hooves that stand: only there does the shift from the middle of the hoof to its toe hold. */
  readonly still: readonly PointName[];
}

export function compared({ clip, seen, tracked }: Walked, by: Shifts): Compared[] {
  const [clean, heights, still] = [cleaned(clip), heightsPx(clip), standing(clip)];
  return clean.map((points, i) => ({
    ...{ horse: clip.horse, labels: shifted(points, by, heights[i] ?? NaN), tallPx: heights[i] ?? NaN },
    ...{ seen: seen[i] ?? {}, tracked: tracked[i] ?? {}, still: still[i] ?? [] },
  }));
}

const errors = (
  list: readonly Compared[],
  wanted: (one: Compared, name: PointName) => boolean,
): PointError[] =>
  list.flatMap((one) =>
    pointErrors(
      only(one.labels, (name) => wanted(one, name)),
      one.tracked,
      one.tallPx,
      one.horse,
    ),
  );

function exchangedRows(set: string, list: readonly Compared[], which: 'seen' | 'tracked'): Row[] {
  const told = list.flatMap((one) => {
    const wrong = exchanged(one.labels, one[which], one.tallPx);
    return wrong === null ? [] : [{ holds: wrong, horse: one.horse }];
  });
  const near = (['LF', 'LH'] as const satisfies readonly Limb[]).flatMap((limb) =>
    list.flatMap((one) =>
      [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]].flatMap((name) => {
        const other = onOtherLimb(one.labels, one[which], one.tallPx, name);
        return other === null ? [] : [{ holds: other, horse: one.horse }];
      }),
    ),
  );
  const when = which === 'seen' ? 'before the tracker' : 'after the tracker';
  const bar = which === 'seen' ? {} : EXCHANGED_BAR;
  return [
    shareRow(set, 'frames', `near and far exchanged, ${when}`, told, bar),
    shareRow(set, 'points of near limbs', `on the far limb, ${when}`, near),
  ];
}

/** Against the other network's points. */
export function walkRows(set: string, walked: readonly Walked[], by: Shifts): Row[] {
  const list = walked.flatMap((one) => compared(one, by));
  return [
    ...errorRows(
      set,
      errors(list, (_, name) => isNear(name)),
      WALK_BARS,
      'near ',
    ),
    ...errorRows(
      set,
      errors(list, ({ still }, name) => isNear(name) && still.includes(name)),
      STANDING,
      'standing near ',
    ),
    ...exchangedRows(set, list, 'seen'),
    ...exchangedRows(set, list, 'tracked'),
  ];
}

/** The same tracks against the typed labels of some of those frames. */
export function trackedTypedRows(
  set: string,
  walked: readonly Walked[],
  hand: readonly HandPicture[],
): Row[] {
  const typed = new Map(hand.map((picture) => [picture.path, picture.labels]));
  const list = walked.flatMap(({ clip, tracked }) =>
    clip.frames.flatMap((frame, i) => {
      const labels = typed.get(frame.path);
      const own = labels && heightPx(labels);
      if (!own) return [];
      const inSourcePx = Object.entries(labels).map(([name, at]) => [name, [...toSource(frame, at), at[2]]]);
      const tallPx = own / frame.scale;
      return pointErrors(Object.fromEntries(inSourcePx), tracked[i] ?? {}, tallPx, clip.horse);
    }),
  );
  return errorRows(set, list, HAND_BARS);
}
