/** Intervals against made-up horses before cameras of all kinds, drawn from the assumptions that the intervals rest on. */
import { beforeAll, describe, expect, it } from 'vitest';
import { pointSds, PARTS } from '../../src/stand/errors.ts';
import { NETWORK_STAND_ERRORS, standMeasures, type StandErrors } from '../../src/stand/index.ts';
import type { StandPoints } from '../../src/stand/places.ts';
import type { PointName } from '../../src/points.ts';
import { numbers } from '../support/kinematic.ts';
import { heightPx, madeUp, noisy, optionsOf, pictureOf, trueOf, type MadeUp, type Random } from './made.ts';
import { measuresOf } from './support.ts';

const NONE = Object.fromEntries(PARTS.map((part) => [part, { forward: 0, up: 0 }])) as StandErrors;
const STANDS = 300;

interface Held {
  readonly share: number;
  readonly bias: number;
  /** Mean half width of the interval. */
  readonly half: number;
}

const mean = (list: readonly number[]): number => list.reduce((a, b) => a + b, 0) / list.length;

/** Points off by what all pictures of a stand share. */
function off(points: StandPoints, made: MadeUp, random: Random): StandPoints {
  const h = heightPx(made);
  const moved = Object.entries(points).map(([name, p]) => {
    const sds = pointSds(name as PointName, made.camera.direction, Infinity, false, NETWORK_STAND_ERRORS);
    const [x, y] = [(sds?.forward ?? 0) * h * random.normal(), (sds?.up ?? 0) * h * random.normal()];
    return [name, p && { x: p.x + x, y: p.y + y }];
  });
  return Object.fromEntries(moved) as StandPoints;
}

/** By measure, left and right together. */
function coverage(seed: number, errors: StandErrors): Map<string, Held> {
  const random = numbers(seed);
  const all = new Map<string, { hit: number; error: number; half: number }[]>();
  for (let i = 0; i < STANDS; i++) {
    const made = madeUp(random, i % 2 === 0 ? 'left' : 'right');
    const exact = pictureOf(made);
    const seen = noisy(errors === NONE ? exact : off(exact, made, random), made, random);
    // A stick is good to a centimetre.
    const typedM = made.camera.withersM + 0.01 * random.normal();
    const found = measuresOf(standMeasures(seen, typedM, { ...optionsOf(made), errors }));
    for (const [name, value] of Object.entries(trueOf(made))) {
      const one = found.get(name);
      if (!one || 'reason' in one) throw new Error(`${name}: no value`);
      const key = name.replace(/\..*/, '');
      const hit = one.low <= value && value <= one.high ? 1 : 0;
      all.set(key, [
        ...(all.get(key) ?? []),
        { hit, error: one.value - value, half: (one.high - one.low) / 2 },
      ]);
    }
  }
  return new Map(
    [...all].map(([name, list]) => [
      name,
      {
        share: mean(list.map(({ hit }) => hit)),
        bias: mean(list.map(({ error }) => error)),
        half: mean(list.map(({ half }) => half)),
      },
    ]),
  );
}

describe.each([
  ['the noise of check 34', NONE, 11],
  ['that and the errors of the network', NETWORK_STAND_ERRORS, 12],
])('with %s', (_, errors, seed) => {
  let held: Map<string, Held>;
  beforeAll(() => {
    held = coverage(seed, errors);
  });

  it('the intervals hold about 95 in 100', () => {
    expect(held.size).toBe(14);
    // Three SDs of a count of 300 about .95 are .038.
    for (const [name, { share }] of held) {
      expect(share, name).toBeGreaterThan(0.912);
      expect(share, name).toBeLessThanOrEqual(1);
    }
    const every = mean([...held.values()].map(({ share }) => share));
    expect(every).toBeGreaterThan(0.94);
    expect(every).toBeLessThan(0.985);
  });

  it('no measure is biased by more than a fifth of its half width', () => {
    for (const [name, { bias, half }] of held) expect(Math.abs(bias) / half, name).toBeLessThan(0.2);
  });
});
