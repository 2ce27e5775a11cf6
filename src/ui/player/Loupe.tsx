import { type Signal, useSignalEffect } from '@preact/signals';
import { useRef } from 'preact/hooks';
import { useSession } from '../context.ts';
import { marksShown } from '../groundMarks.ts';
import type { Session } from '../session.ts';
import { type XY, toView } from './geometry.ts';
import { SIDE_COLOURS, sideOfPoint } from './overlay.ts';
import { type Picture, fitCanvas } from './Player.tsx';

const MARK_COLOUR = '#1b1f1d';
const LARGEST_PX = 132;
const SHARE_OF_STAGE = 0.29;
const TIMES = 3;
const LEAST_SCALE = 1.5;
/** Mean lightness, of 255, that a dark place is brought up to, and at most by how much. */
const LIGHT_ENOUGH = 105;
const MOST_BRIGHTENING = 3;

const sizeOn = ({ stage }: Picture): number => Math.round(Math.min(LARGEST_PX, stage.width * SHARE_OF_STAGE));

interface LoupeProps {
  videoRef: { current: HTMLVideoElement | null };
  picture: Signal<Picture | null>;
  /** Counts the frames put on the screen. */
  shown: Signal<number>;
}

/** The video around the chosen point, enlarged, in the corner away from the finger. */
export function Loupe({ videoRef, picture, shown }: LoupeProps) {
  const session = useSession();
  const ref = useRef<HTMLCanvasElement>(null);
  const now = picture.value;
  const at = session.playing.value ? undefined : lookedAt(session, now)?.at;
  useSignalEffect(() => {
    void shown.value;
    const looked = lookedAt(session, picture.value);
    const context = ref.current?.getContext('2d', { willReadFrequently: true });
    if (!looked || !picture.value || !ref.current || !context || !videoRef.current) return;
    const sidePx = sizeOn(picture.value);
    fitCanvas(ref.current, context, { width: sidePx, height: sidePx });
    drawLoupe(context, videoRef.current, session.clip.peek()?.widthPx ?? 1, looked.at, {
      sidePx,
      scale: Math.max(picture.value.mapping.scale * TIMES, LEAST_SCALE),
      colour: looked.colour,
    });
  });
  const onLeft = at && now ? toView(now.mapping, at).x > now.stage.width / 2 : false;
  return (
    <canvas
      class="loupe"
      data-side={onLeft ? 'left' : 'right'}
      hidden={!at}
      style={now ? `width: ${sizeOn(now)}px; height: ${sizeOn(now)}px` : ''}
      ref={ref}
      aria-hidden="true"
    />
  );
}

/** The mark or the point that is chosen. */
function lookedAt(session: Session, picture: Picture | null): { at: XY; colour: string } | null {
  const { open, held } = session.groundMarks;
  if (open.value) {
    const at = held.value && marksShown(session)?.[held.value];
    return at ? { at, colour: MARK_COLOUR } : null;
  }
  const point = session.hand.point.value;
  const at = point && picture?.points.get(point);
  return at ? { at, colour: SIDE_COLOURS[sideOfPoint(point) ?? 'left'] } : null;
}

interface Look {
  readonly sidePx: number;
  /** px of the loupe per picture px */
  readonly scale: number;
  readonly colour: string;
}

function drawLoupe(
  context: CanvasRenderingContext2D,
  video: HTMLVideoElement,
  clipWidthPx: number,
  at: XY,
  { sidePx, scale, colour }: Look,
): void {
  const [width, height] = [sidePx, sidePx];
  context.fillStyle = '#d8dad4';
  context.fillRect(0, 0, width, height);
  const perPicturePx = video.videoWidth / clipWidthPx;
  if (perPicturePx > 0) {
    const side = width / scale;
    const x = (at.x + 0.5 - side / 2) * perPicturePx;
    const y = (at.y + 0.5 - side / 2) * perPicturePx;
    context.imageSmoothingQuality = 'high';
    const draw = () =>
      context.drawImage(video, x, y, side * perPicturePx, side * perPicturePx, 0, 0, width, height);
    draw();
    const brightening = Math.min(LIGHT_ENOUGH / Math.max(meanLightness(context), 1), MOST_BRIGHTENING);
    if (brightening > 1) {
      context.filter = `brightness(${brightening.toFixed(2)})`;
      draw();
      context.filter = 'none';
    }
  }
  const cross = new Path2D(`M${width / 2} 8V${height / 2 - 7}M${width / 2} ${height - 8}V${height / 2 + 7}`);
  cross.addPath(new Path2D(`M8 ${height / 2}H${width / 2 - 7}M${width - 8} ${height / 2}H${width / 2 + 7}`));
  for (const [colourNow, lineWidth] of [['#ffffff', 4] as const, [colour, 2] as const]) {
    context.strokeStyle = colourNow;
    context.lineWidth = lineWidth;
    context.stroke(cross);
  }
  context.fillStyle = colour;
  context.fillRect(width / 2 - 1, height / 2 - 1, 2, 2);
}

/** Dark hooves on dark ground, in the sun: the glass shows them lighter. */
function meanLightness(context: CanvasRenderingContext2D): number {
  const { data } = context.getImageData(0, 0, context.canvas.width, context.canvas.height);
  let sum = 0;
  const step = 4 * 17;
  for (let i = 0; i < data.length; i += step)
    sum += (data[i] ?? 0) + 2 * (data[i + 1] ?? 0) + (data[i + 2] ?? 0);
  return sum / 4 / (data.length / step);
}
