import type { FilmingNumbers } from './filmingCard.ts';

/** A place on the ground, m: x to the right, y away from the camera, which stands at 0, 0. */
interface Ground {
  readonly x: number;
  readonly y: number;
}

/** Size of the drawing and of its words, in its own units. */
const WIDTH = 360;
const ROOM = 34;
const LETTERS = 13;

/** The three ways and the stand, as they lie about a camera that sees the walk past. */
interface Plan {
  readonly left: Ground;
  readonly right: Ground;
  readonly begin: (end: Ground) => Ground;
  readonly stand: Ground;
}

function planOf({ side, line, stand }: FilmingNumbers): Plan {
  const half = side.wayM / 2;
  const begin = (end: Ground): Ground => {
    const share = line.nearestM / Math.hypot(end.x, end.y);
    return { x: share * end.x, y: share * end.y };
  };
  return {
    left: { x: -half, y: side.nearestM },
    right: { x: half, y: side.nearestM },
    begin,
    stand: { x: 0, y: stand.distanceM },
  };
}

const num = (v: number): string => v.toFixed(1);
const at = ({ x, y }: Ground): string => `${num(x)} ${num(y)}`;
const middle = (a: Ground, b: Ground): Ground => ({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 });

/** A way with an arrow's head at its end. */
function way(from: Ground, to: Ground): string {
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const length = Math.hypot(dx, dy);
  const [ux, uy] = [(8 * dx) / length, (8 * dy) / length];
  const barb = (side: 1 | -1): Ground => ({
    x: to.x - ux + (side * -uy) / 2,
    y: to.y - uy + (side * ux) / 2,
  });
  return `<path d="M${at(from)} L${at(to)} M${at(barb(1))} L${at(to)} L${at(barb(-1))}"/>`;
}

const escaped = (text: string): string => text.replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`);

const words = (place: Ground, text: string): string =>
  `<text x="${num(place.x)}" y="${num(place.y)}">${escaped(text)}</text>`;

/**
 * A plan of the ground from above, to scale, as an SVG picture: away from the phone, past it, and back, with the place to
 * stand. It takes the colour of the text about it. `format` gets metres.
 */
export function filmingPlanSvg(numbers: FilmingNumbers, format: (lengthM: number) => string): string {
  const plan = planOf(numbers);
  const scale = (WIDTH - 2 * ROOM) / numbers.side.wayM;
  const height = scale * numbers.side.nearestM + 2 * ROOM;
  const on = ({ x, y }: Ground): Ground => ({ x: WIDTH / 2 + scale * x, y: height - ROOM - scale * y });
  const phone = on({ x: 0, y: 0 });
  const [left, right, stand] = [on(plan.left), on(plan.right), on(plan.stand)];
  const [out, back] = [on(plan.begin(plan.left)), on(plan.begin(plan.right))];
  const { side, line } = numbers;
  const free = scale * line.nearestM;
  const beside = (y: number): Ground => ({ x: WIDTH / 2 + 46, y });
  const lettered = [
    words({ x: WIDTH / 2, y: left.y - 10 }, `2 past, ${format(side.wayM)}`),
    words({ x: middle(out, left).x - 30, y: middle(out, left).y }, '1 away'),
    words({ x: middle(back, right).x + 30, y: middle(back, right).y }, '3 back'),
    words(beside(left.y + 20), format(side.nearestM)),
    words(beside(stand.y + 22), `stand, ${format(numbers.stand.distanceM)}`),
    words(beside(phone.y - free + 36), `${format(line.nearestM)} free`),
    words({ x: phone.x, y: phone.y + 24 }, 'phone'),
  ];
  const label = `Plan from above: the horse walks away from the phone, past it at ${format(side.nearestM)}, and back.`;
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${num(height)}" role="img" aria-label="${escaped(label)}">`,
    '<g fill="none" stroke="currentColor" stroke-width="2">',
    way(out, left),
    way(left, right),
    way(right, back),
    `<path d="M${at(stand)} m-22 0 a22 7 0 1 0 44 0 a22 7 0 1 0 -44 0"/>`,
    `<path d="M${at(phone)} m-9 -3 h18 v6 h-18 z"/>`,
    `<path stroke-dasharray="3 4" d="M${at(phone)} L${at(on({ x: 0, y: side.nearestM }))}"/>`,
    `<path stroke-dasharray="2 4" d="M${num(phone.x - free)} ${num(phone.y)} a${num(free)} ${num(free)} 0 0 1 ${num(2 * free)} 0"/>`,
    '</g>',
    `<g fill="currentColor" font-family="sans-serif" font-size="${LETTERS}" text-anchor="middle">`,
    ...lettered,
    '</g>',
    '</svg>',
  ].join('\n');
}
