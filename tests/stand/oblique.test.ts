/** How square the camera looked, and places of a known scene. */
import { describe, expect, it } from 'vitest';
import { standMeasures } from '../../src/stand/index.ts';
import { TRUNK_H } from '../../src/stand/oblique.ts';
import { placed } from '../../src/stand/places.ts';
import { frameOf, usualScene } from '../../src/stand/scene.ts';
import { POINT_NAMES } from '../../src/points.ts';
import { CAMERA, heightPx, optionsOf, pictureOf, placesOf, type MadeUp } from './made.ts';

const usual = (): number => 0;
const made = (change: Partial<MadeUp['camera']>, rollRad = 0): MadeUp => ({
  camera: { ...CAMERA, ...change },
  rollRad,
  places: placesOf(change.direction ?? CAMERA.direction, usual),
});
const stand = (one: MadeUp) => standMeasures(pictureOf(one), 1.6, optionsOf(one));

describe('places of a scene that is known', () => {
  it.each([
    ['left', 0],
    ['left', 12],
    ['right', -12],
    ['right', 25],
  ] as const)('facing %s, %d degrees off square, are those of the horse', (direction, obliquityDeg) => {
    const one = made({ direction, obliquityDeg });
    const options = optionsOf(one);
    const scene = {
      ...usualScene({ ...options, focalShare: { value: one.camera.focalShare, sd: 0.01 } }),
      cameraH: one.camera.cameraHeightM / one.camera.withersM,
      obliqueRad: (-obliquityDeg * Math.PI) / 180,
    };
    const found = placed(pictureOf(one), frameOf(options), scene);
    for (const name of POINT_NAMES) {
      const [along, , up] = one.places[name] ?? [];
      const place = found?.placeOf(name);
      expect(place === undefined || place === null, name).toBe(along === undefined);
      // The hooves' line is drawn to first order of their width: a fifth of a percent of the height.
      if (place && along !== undefined) expect(Math.abs(place.alongH - along), name).toBeLessThan(0.002);
      if (place && up !== undefined) expect(Math.abs(place.upH - up), name).toBeLessThan(0.002);
    }
  });

  it.each([
    [8, 3.75],
    [10, 3],
    [12, 2.5],
  ])(
    'at %d m a hoof .3 m nearer looks %f percent too large, which is taken off: dZ / Z (check 19)',
    (distanceM, percent) => {
      const asideH = 0.3 / 1.6;
      const usualOne = made({ distanceM, cameraHeightM: 1.28 });
      const wide = Object.entries(usualOne.places).map(([name, [along, aside, up]]) => [
        name,
        [along, name.includes('_hoof') ? Math.sign(aside) * asideH : aside, up],
      ]);
      const one = { ...usualOne, places: Object.fromEntries(wide) as MadeUp['places'] };
      const points = pictureOf(one);
      const scene = { ...usualScene(optionsOf(one)), foreAsideH: asideH, hindAsideH: asideH };
      const found = placed(points, frameOf(optionsOf(one)), scene);
      // The withers are on the camera's axis, the near toe .165 H ahead.
      const seen = -((points.left_fore_hoof?.x ?? NaN) - (CAMERA.widthPx - 1) / 2) / heightPx(one);
      expect(seen * (1 - percent / 100)).toBeCloseTo(0.165, 9);
      expect(Math.abs((found?.placeOf('left_fore_hoof')?.alongH ?? NaN) - 0.165)).toBeLessThan(0.0005);
    },
  );
});

describe('published and exact values', () => {
  it.each([
    [5, -0.38],
    [10, -1.52],
    [15, -3.41],
    [20, -6.03],
    [30, -13.4],
  ])(
    'from afar, %d degrees off square, lengths look %f percent longer (check 18)',
    (obliquityDeg, percent) => {
      // A hundred times as far and as long a lens: nothing is nearer or farther.
      const one = made({ obliquityDeg, distanceM: 700, focalShare: 75 });
      const scene = usualScene({ ...optionsOf(one), focalShare: { value: 75, sd: 1 } });
      const place = placed(pictureOf(one), frameOf(optionsOf(one)), scene)?.placeOf('tailhead');
      const trueH = one.places.tailhead?.[0] ?? NaN;
      expect(Math.abs(100 * ((place?.alongH ?? NaN) / trueH - 1) - percent)).toBeLessThan(0.1);
    },
  );

  it('trunks of published horses are among those that are thought usual (check 31)', () => {
    // Body length / H, to the point of buttock: Acta Vet Scand 2019, s13028-019-0498-5, Table 2. Less .065 to the tailhead.
    for (const published of [1.076, 1.145])
      expect(Math.abs(published - 0.065 - TRUNK_H.value)).toBeLessThan(TRUNK_H.sd);
  });
});

describe('the camera off square', () => {
  it('is told by its sign, with a wide interval that holds it', () => {
    for (const deg of [-15, -8, 0, 8, 15]) {
      const { oblique } = stand(made({ obliquityDeg: -deg }));
      expect(Math.sign(Math.round(oblique?.deg ?? NaN))).toBe(Math.sign(deg));
      expect(oblique?.lowDeg).toBeLessThan(deg);
      expect(oblique?.highDeg).toBeGreaterThan(deg);
      expect((oblique?.highDeg ?? 0) - (oblique?.lowDeg ?? 0)).toBeGreaterThan(15);
    }
  });

  it('is warned of where it is much, and not where it is square or a few degrees off', () => {
    expect(stand(made({ obliquityDeg: 0 })).warnings).toEqual([]);
    expect(stand(made({ obliquityDeg: 5 })).warnings).toEqual([]);
    expect(stand(made({ obliquityDeg: 25 })).warnings).toEqual(['oblique']);
    expect(stand(made({ obliquityDeg: -25 })).warnings).toEqual(['oblique']);
  });

  it('is taken from who knows it', () => {
    const one = made({ obliquityDeg: 12 });
    const options = { ...optionsOf(one), obliqueDeg: { value: -12, sd: 1 } };
    const { oblique, measures } = standMeasures(pictureOf(one), 1.6, options);
    expect(Math.abs((oblique?.deg ?? NaN) + 12)).toBeLessThan(1);
    // Square hooves, seen obliquely: .19 m sin 12 = 4 cm that are not there.
    expect('value' in measures.foreLeftAheadM && Math.abs(measures.foreLeftAheadM.value)).toBeLessThan(0.01);
  });
});
