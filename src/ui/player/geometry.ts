import { type PointName, POINT_NAMES, type Side } from '../../points.ts';
import type { PoseFrame } from '../../pose/types.ts';
import { toPicture } from '../../track/turning.ts';
import type { Track, TrackPoint } from '../../track/types.ts';

export interface XY {
  readonly x: number;
  readonly y: number;
}

export interface ShownPoint extends XY {
  /** `missing`: not found here; offered to be put in by hand. */
  readonly source: TrackPoint['source'] | 'missing';
  readonly sdPx: number;
}
export type ShownPoints = ReadonlyMap<PointName, ShownPoint>;

/** Seen from the front only; from the side they lie on the near point of the shoulder. */
const FROM_THE_FRONT: ReadonlySet<PointName> = new Set(['left_point_of_shoulder', 'right_point_of_shoulder']);

const namesSeen = (side: Side | null): readonly PointName[] =>
  side === null ? POINT_NAMES : POINT_NAMES.filter((name) => !FROM_THE_FRONT.has(name));

/** The side of the horse that the network saw; null from the front, from behind, or where it saw none. */
export function sideSeen(pose: PoseFrame | undefined): Side | null {
  const view = pose?.horse?.view;
  return view === 'left' || view === 'right' ? view : null;
}

/** The points of one frame of the track in picture px. */
export function pointsOfTrack(track: Track, frame: number): ShownPoints {
  const still = track.toStill[frame];
  const shown = new Map<PointName, ShownPoint>();
  if (!still) return shown;
  for (const name of namesSeen(track.seenSide[frame] ?? null)) {
    const point = track.points[name][frame];
    if (point)
      shown.set(name, { ...toPicture(track.lens, still, point), source: point.source, sdPx: point.sdPx });
  }
  return shown;
}

/** The points as the network saw them, while there is no track yet. */
export function pointsOfPose(pose: PoseFrame | undefined): ShownPoints {
  const shown = new Map<PointName, ShownPoint>();
  for (const name of namesSeen(sideSeen(pose))) {
    const seen = pose?.horse?.points[name];
    if (seen && seen.score > 0.3) shown.set(name, { x: seen.x, y: seen.y, source: 'network', sdPx: 0 });
  }
  return shown;
}

/** Picture px to px of the stage on the page: view = (picture + 0.5) scale + t. */
export interface Mapping {
  readonly scale: number;
  readonly tx: number;
  readonly ty: number;
}

export const toView = ({ scale, tx, ty }: Mapping, { x, y }: XY): XY => ({
  x: (x + 0.5) * scale + tx,
  y: (y + 0.5) * scale + ty,
});

export interface Size {
  readonly width: number;
  readonly height: number;
}

/** Whole picture, as large as the stage allows. */
export function fitMapping(stage: Size, picture: Size): Mapping {
  const scale = Math.min(stage.width / picture.width, stage.height / picture.height);
  return {
    scale,
    tx: (stage.width - picture.width * scale) / 2,
    ty: (stage.height - picture.height * scale) / 2,
  };
}

/** The region around the horse in a frame, picture px. */
export interface Region extends Size {
  readonly centre: XY;
}

const MARGIN = 1.18;
/** No point of a frame lies nearer to the edge of its region than this share of the horse's size. */
const LEAST_MARGIN = 1.12;
/** Frames with fewer points tell nothing of the horse's size and middle. */
const ENOUGH_POINTS = 6;
const LARGEST_ZOOM = 6;

/**
 * One region per frame: of one size throughout, its centre moving smoothly with the horse; moved, and made larger where
 * it must be, so that it holds every point of its frame.
 */
export function followRegions(track: Track): readonly (Region | null)[] {
  const points = track.timesS.map((_, frame) => pointsOfTrack(track, frame));
  const boxes = points.map((shown) => (shown.size < ENOUGH_POINTS ? null : boxOf(shown)));
  const width = MARGIN * largest(boxes.map((box) => box?.width ?? 0));
  const height = MARGIN * largest(boxes.map((box) => box?.height ?? 0));
  const reach = 8;
  return boxes.map((_, frame) => {
    const near = boxes.slice(Math.max(frame - reach, 0), frame + reach + 1).filter((box) => box !== null);
    if (near.length === 0) return null;
    const mean = (of: (box: Region) => number) => near.reduce((sum, box) => sum + of(box), 0) / near.length;
    const centre = { x: mean((box) => box.centre.x), y: mean((box) => box.centre.y) };
    return holding({ width, height, centre }, boxOf(points[frame] ?? new Map()));
  });
}

function holding(region: Region, box: Region | null): Region {
  if (!box) return region;
  const along = (size: number, centre: number, boxSize: number, boxCentre: number) => {
    const least = LEAST_MARGIN * boxSize;
    const slack = Math.max(size - least, 0) / 2;
    return [Math.max(size, least), Math.min(Math.max(centre, boxCentre - slack), boxCentre + slack)] as const;
  };
  const [width, x] = along(region.width, region.centre.x, box.width, box.centre.x);
  const [height, y] = along(region.height, region.centre.y, box.height, box.centre.y);
  return { width, height, centre: { x, y } };
}

function largest(sizes: readonly number[]): number {
  const sorted = [...sizes].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length * 0.95)] ?? 0;
}

function boxOf(points: ShownPoints): Region | null {
  if (points.size === 0) return null;
  const xs = [...points.values()].map((point) => point.x);
  const ys = [...points.values()].map((point) => point.y);
  const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  return { width: x1 - x0, height: y1 - y0, centre: { x: (x0 + x1) / 2, y: (y0 + y1) / 2 } };
}

/** The region as large as the stage allows, never beyond the picture's edges. */
export function zoomMapping(stage: Size, picture: Size, region: Region): Mapping {
  const fit = fitMapping(stage, picture).scale;
  const wanted = Math.min(stage.width / region.width, stage.height / region.height);
  const scale = Math.min(Math.max(wanted, fit), fit * LARGEST_ZOOM);
  return {
    scale,
    tx: held(stage.width, picture.width * scale, stage.width / 2 - region.centre.x * scale),
    ty: held(stage.height, picture.height * scale, stage.height / 2 - region.centre.y * scale),
  };
}

function held(stage: number, picture: number, offset: number): number {
  return picture <= stage ? (stage - picture) / 2 : Math.min(Math.max(offset, stage - picture), 0);
}

/** The shown point nearest to a place on the stage, within reach; null where none is. */
export function pointNear<Name>(
  points: ReadonlyMap<Name, XY>,
  mapping: Mapping,
  place: XY,
  reachPx: number,
): Name | null {
  let best: Name | null = null;
  let bestPx = reachPx;
  for (const [name, point] of points) {
    const view = toView(mapping, point);
    const px = Math.hypot(view.x - place.x, view.y - place.y);
    if (px <= bestPx) [best, bestPx] = [name, px];
  }
  return best;
}
