/** Draws the fixture's horse and encodes it in the browser, so that the page plays a real video. */
import { BufferTarget, CanvasSource, Mp4OutputFormat, Output } from 'mediabunny';
import { FETLOCK, HOOF, KNEE_OR_HOCK, LIMBS, type PointName, isFore } from '../../src/points.ts';
import { FPS, FRAMES, HEIGHT_PX, WIDTH_PX, groundPx, pointsAt, timeOfFrame } from './fixtureHorse.ts';

type Places = ReadonlyMap<PointName, { x: number; y: number }>;

export const FIXTURE_NAME = 'drawn-walk.mp4';

export async function fixtureVideo(): Promise<File> {
  const canvas = document.createElement('canvas');
  canvas.width = WIDTH_PX;
  canvas.height = HEIGHT_PX;
  const context = canvas.getContext('2d');
  if (!context) throw new Error('No canvas');
  const target = new BufferTarget();
  const output = new Output({ format: new Mp4OutputFormat(), target });
  const source = new CanvasSource(canvas, { codec: 'avc', bitrate: 1.5e6, keyFrameInterval: 0.5 });
  output.addVideoTrack(source, { frameRate: FPS });
  await output.start();
  for (let frame = 0; frame < FRAMES; frame++) {
    draw(context, pointsAt(timeOfFrame(frame)));
    await source.add(timeOfFrame(frame), 1 / FPS);
  }
  await output.finalize();
  if (!target.buffer) throw new Error('Nothing was encoded');
  return new File([target.buffer], FIXTURE_NAME, { type: 'video/mp4' });
}

function draw(context: CanvasRenderingContext2D, places: Places): void {
  context.fillStyle = '#b9cad6';
  context.fillRect(0, 0, WIDTH_PX, HEIGHT_PX);
  context.fillStyle = '#7d8f6a';
  context.fillRect(0, 330, WIDTH_PX, HEIGHT_PX);
  context.fillStyle = '#c8b48e';
  context.fillRect(0, groundPx - 24, WIDTH_PX, 70);
  context.strokeStyle = '#6b5a44';
  context.lineWidth = 4;
  context.strokeRect(-10, 300, WIDTH_PX + 20, 30);
  drawLegs(context, places, 'R', '#57412c');
  drawBody(context, places);
  drawLegs(context, places, 'L', '#6f5238');
  context.fillStyle = '#222';
  context.font = '16px sans-serif';
  context.fillText('drawn, not filmed', 10, HEIGHT_PX - 12);
}

function drawLegs(context: CanvasRenderingContext2D, places: Places, side: 'L' | 'R', colour: string): void {
  for (const limb of LIMBS.filter((name) => name.startsWith(side))) {
    const chain = [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]].map((name) => places.get(name));
    const top = places.get(isFore(limb) ? 'point_of_elbow' : 'croup');
    const [joint, fetlock, hoof] = chain;
    if (!top || !joint || !fetlock || !hoof) continue;
    context.strokeStyle = colour;
    context.lineCap = context.lineJoin = 'round';
    line(context, [{ x: top.x, y: top.y + (isFore(limb) ? 0 : 60) }, joint], 26);
    line(context, [joint, fetlock, { x: hoof.x + 12, y: hoof.y - 10 }], 13);
    context.fillStyle = '#2b2623';
    context.beginPath();
    context.moveTo(hoof.x, hoof.y);
    context.lineTo(hoof.x + 22, hoof.y);
    context.lineTo(hoof.x + 18, hoof.y - 12);
    context.lineTo(hoof.x + 6, hoof.y - 13);
    context.fill();
  }
}

function drawBody(context: CanvasRenderingContext2D, places: Places): void {
  const at = (name: PointName) => places.get(name);
  const [muzzle, poll, withers, croup, tail, elbow] = [
    at('muzzle'),
    at('poll'),
    at('withers'),
    at('croup'),
    at('tailhead'),
    at('point_of_elbow'),
  ];
  context.fillStyle = context.strokeStyle = '#6f5238';
  if (withers && croup && tail && elbow) {
    context.beginPath();
    context.moveTo(withers.x, withers.y);
    context.quadraticCurveTo((withers.x + croup.x) / 2, withers.y + 16, croup.x, croup.y);
    context.quadraticCurveTo(tail.x - 10, tail.y - 10, tail.x, tail.y);
    context.quadraticCurveTo(tail.x + 6, tail.y + 70, tail.x - 18, tail.y + 90);
    context.quadraticCurveTo((withers.x + croup.x) / 2, elbow.y + 18, elbow.x - 48, elbow.y - 6);
    context.quadraticCurveTo(elbow.x - 60, withers.y + 50, withers.x, withers.y);
    context.fill();
    line(context, [tail, { x: tail.x + 16, y: tail.y + 60 }, { x: tail.x + 14, y: tail.y + 110 }], 9);
  }
  if (!withers || !poll || !muzzle) return;
  context.beginPath();
  context.moveTo(poll.x, poll.y);
  context.lineTo(withers.x, withers.y);
  context.lineTo(withers.x - 60, withers.y + 90);
  context.lineTo(poll.x - 14, poll.y + 44);
  context.fill();
  line(
    context,
    [
      { x: poll.x - 4, y: poll.y + 16 },
      { x: muzzle.x + 10, y: muzzle.y - 6 },
    ],
    30,
  );
}

function line(
  context: CanvasRenderingContext2D,
  points: readonly { x: number; y: number }[],
  width: number,
): void {
  context.lineWidth = width;
  context.beginPath();
  points.forEach(({ x, y }, index) => (index === 0 ? context.moveTo(x, y) : context.lineTo(x, y)));
  context.stroke();
}
