import {
  FETLOCK,
  HOOF,
  KNEE_OR_HOCK,
  LIMBS,
  type Limb,
  type PointName,
  type Side,
  isFore,
  limbSide,
} from '../../points.ts';
import { type Mapping, type ShownPoints, type XY, toView } from './geometry.ts';

/** Blue and vermilion of Okabe & Ito's palette, told apart by all common kinds of colour vision. */
export const SIDE_COLOURS: Record<Side, string> = { left: '#0072b2', right: '#d55e00' };
const MIDDLE = '#1b1f1d';
const CASING = '#ffffff';

const TOPLINE: readonly PointName[] = ['muzzle', 'poll', 'withers', 'croup', 'tailhead'];

export const sideOfPoint = (point: PointName): Side | null =>
  point.startsWith('left_') ? 'left' : point.startsWith('right_') ? 'right' : null;

export interface Overlay {
  readonly points: ShownPoints;
  readonly mapping: Mapping;
  readonly nearSide: Side | null;
  readonly selected: PointName | null;
  /** Set by hand in this frame. */
  readonly byHand: ReadonlySet<PointName>;
}

/** Draws limbs and points over the picture. Left: filled disc. Right: square in a ring. Others: diamond. */
export function drawOverlay(context: CanvasRenderingContext2D, overlay: Overlay): void {
  const { points, mapping, nearSide } = overlay;
  const place = (name: PointName): XY | null => {
    const point = points.get(name);
    return point && point.source !== 'missing' ? toView(mapping, point) : null;
  };
  const far = LIMBS.filter((limb) => limbSide(limb) !== nearSide);
  const near = LIMBS.filter((limb) => limbSide(limb) === nearSide);
  for (const limb of [...far, ...near]) {
    const isNear = limbSide(limb) === nearSide;
    drawLine(context, limbPoints(limb, isNear).map(place), SIDE_COLOURS[limbSide(limb)], !isNear);
  }
  drawLine(context, TOPLINE.map(place), MIDDLE, false);
  for (const [name, point] of points) {
    const side = sideOfPoint(name);
    const isNear = side === null || side === nearSide;
    const at = toView(mapping, point);
    if (point.source === 'missing') drawRing(context, at, 9, side ? SIDE_COLOURS[side] : MIDDLE, [2, 3]);
    else if (overlay.selected === name) drawSelected(context, at, side);
    else drawMark(context, at, side, isNear ? 5 : 4);
    if (overlay.byHand.has(name)) drawRing(context, at, 9, MIDDLE, [3, 2]);
  }
}

function limbPoints(limb: Limb, isNear: boolean): readonly PointName[] {
  const lower = [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]];
  return isFore(limb) && isNear ? ['point_of_shoulder', 'point_of_elbow', ...lower] : lower;
}

function drawLine(
  context: CanvasRenderingContext2D,
  places: readonly (XY | null)[],
  colour: string,
  dashed: boolean,
): void {
  const path = new Path2D();
  let pen = false;
  for (const place of places) {
    if (place) path[pen ? 'lineTo' : 'moveTo'](place.x, place.y);
    pen = place !== null;
  }
  context.lineCap = context.lineJoin = 'round';
  context.strokeStyle = CASING;
  context.lineWidth = dashed ? 3.5 : 5;
  context.globalAlpha = 0.85;
  context.stroke(path);
  context.globalAlpha = 1;
  context.setLineDash(dashed ? [5, 4] : []);
  context.strokeStyle = colour;
  context.lineWidth = dashed ? 1.5 : 2.5;
  context.stroke(path);
  context.setLineDash([]);
}

function drawMark(context: CanvasRenderingContext2D, at: XY, side: Side | null, radius: number): void {
  const colour = side ? SIDE_COLOURS[side] : MIDDLE;
  if (side === 'right') drawRing(context, at, radius + 2.5, colour, []);
  const path = markPath(at, side, side === 'right' ? radius - 1.5 : radius);
  context.strokeStyle = CASING;
  context.lineWidth = 3;
  context.stroke(path);
  context.fillStyle = colour;
  context.fill(path);
}

/** Open, so that the hoof beneath can be seen. */
function drawSelected(context: CanvasRenderingContext2D, at: XY, side: Side | null): void {
  drawRing(context, at, 13, side ? SIDE_COLOURS[side] : MIDDLE, []);
  context.fillStyle = CASING;
  context.fillRect(at.x - 2, at.y - 2, 4, 4);
  context.fillStyle = MIDDLE;
  context.fillRect(at.x - 1, at.y - 1, 2, 2);
}

function markPath({ x, y }: XY, side: Side | null, r: number): Path2D {
  const path = new Path2D();
  if (side === 'left') path.arc(x, y, r, 0, 2 * Math.PI);
  else if (side === 'right') path.rect(x - r, y - r, 2 * r, 2 * r);
  else {
    path.moveTo(x, y - r);
    path.lineTo(x + r, y);
    path.lineTo(x, y + r);
    path.lineTo(x - r, y);
    path.closePath();
  }
  return path;
}

function drawRing(
  context: CanvasRenderingContext2D,
  { x, y }: XY,
  radius: number,
  colour: string,
  dash: readonly number[],
): void {
  const path = new Path2D();
  path.arc(x, y, radius, 0, 2 * Math.PI);
  context.strokeStyle = CASING;
  context.lineWidth = 4.5;
  context.stroke(path);
  context.setLineDash([...dash]);
  context.strokeStyle = colour;
  context.lineWidth = 2;
  context.stroke(path);
  context.setLineDash([]);
}
