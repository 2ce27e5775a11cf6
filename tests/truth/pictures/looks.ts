/** How the horse, its people and the light of a drawn picture look: drawn from ranges, wider than the bench's. */
import { LIMBS, type Limb } from '../../../src/points.ts';
import type { Clothes } from '../handler.ts';
import type { Coat } from '../horseSkin.ts';
import { between, happens, hsl, oneOf, weighted, type Random } from './chance.ts';

/** What lies over the colour of the coat. */
export interface Pattern {
  readonly kind: 'patches' | 'dapples' | 'roan';
  readonly seed: number;
  readonly colour: number;
  /** Size of a blob, withers heights. */
  readonly sizeH: number;
  /** Share of the coat that it covers. */
  readonly share: number;
}

export interface HorseLook {
  readonly coat: Coat;
  /** Each leg by itself: boots and bandages, marks. */
  readonly legs: Readonly<Record<Limb, Coat>>;
  readonly pattern: Pattern | null;
  /** How much lighter the belly and darker the back is, shares. */
  readonly shading: number;
  readonly halter: number;
  readonly rope: number;
  readonly mane: boolean;
}

type Base = Pick<Coat, 'body' | 'mane' | 'muzzle' | 'legs'>;

function brown(random: Random): Base {
  const hue = between(random, 8, 34);
  const saturation = between(random, 0.2, 0.6);
  const light = between(random, 0.12, 0.46);
  const body = hsl(hue, saturation, light);
  const dark = hsl(hue, 0.5 * saturation, between(random, 0.05, 0.12));
  const flaxen = hsl(hue + 8, 0.5 * saturation, Math.min(0.75, light + between(random, 0.1, 0.4)));
  const points = happens(random, 0.55) ? dark : hsl(hue, saturation, light * between(random, 0.6, 1.1));
  return {
    body,
    legs: points,
    mane: happens(random, 0.2) ? flaxen : points,
    muzzle: happens(random, 0.5) ? dark : body,
  };
}

function black(random: Random): Base {
  const colour = (): number =>
    hsl(between(random, 0, 360), between(random, 0, 0.15), between(random, 0.06, 0.15));
  return { body: colour(), legs: colour(), mane: colour(), muzzle: colour() };
}

function grey(random: Random): Base {
  const light = between(random, 0.35, 0.9);
  const tone = (share: number): number =>
    hsl(between(random, 20, 230), between(random, 0, 0.07), light * share);
  return {
    body: tone(1),
    legs: tone(between(random, 0.45, 1)),
    mane: tone(between(random, 0.5, 1.05)),
    muzzle: tone(between(random, 0.35, 0.9)),
  };
}

function pale(random: Random): Base {
  const hue = between(random, 28, 46);
  const light = between(random, 0.48, 0.75);
  const body = hsl(hue, between(random, 0.2, 0.55), light);
  const dark = hsl(hue, 0.15, between(random, 0.07, 0.2));
  const cream = hsl(hue, 0.25, Math.min(0.9, light + 0.2));
  const dun = happens(random, 0.5);
  return {
    body,
    legs: dun ? dark : body,
    mane: dun ? dark : cream,
    muzzle: happens(random, 0.5) ? dark : body,
  };
}

const BASES = { brown, black, grey, pale };

function pattern(random: Random, kind: keyof typeof BASES): Pattern | null {
  const seed = Math.floor(random.uniform() * 2 ** 31);
  if (happens(random, 0.14)) {
    const colour = hsl(35, 0.15, between(random, 0.72, 0.92));
    return {
      kind: 'patches',
      seed,
      colour,
      sizeH: between(random, 0.14, 0.4),
      share: between(random, 0.3, 0.7),
    };
  }
  const dappled = happens(random, kind === 'grey' ? 0.6 : 0.12);
  if (!dappled) return null;
  const colour = hsl(30, 0.04, kind === 'grey' ? between(random, 0.6, 0.95) : between(random, 0.3, 0.6));
  const roan = happens(random, 0.3);
  return {
    ...{ kind: roan ? 'roan' : 'dapples', seed, colour },
    sizeH: roan ? between(random, 0.012, 0.03) : between(random, 0.03, 0.06),
    share: between(random, 0.2, 0.6),
  };
}

/** Any colour that cloth has: bright, dark or pale. */
export const cloth = (random: Random): number =>
  hsl(between(random, 0, 360), between(random, 0, 0.8) * random.uniform(), between(random, 0.06, 0.85));

function legsOf(random: Random, coat: Coat): Record<Limb, Coat> {
  const dressed = weighted(random, { none: 70, all: 18, fore: 8, hind: 4 });
  const colour = happens(random, 0.4) ? hsl(0, 0, between(random, 0.04, 0.95)) : cloth(random);
  return Object.fromEntries(
    LIMBS.map((limb) => {
      const on = dressed === 'all' || dressed === (limb.endsWith('F') ? 'fore' : 'hind');
      return [limb, { ...coat, boots: on ? colour : null }];
    }),
  ) as Record<Limb, Coat>;
}

export function horseLook(random: Random): HorseLook {
  const kind = weighted(random, { brown: 52, black: 12, grey: 20, pale: 16 });
  const often = oneOf(random, [0, 0.15, 0.4, 0.8]);
  const white = LIMBS.filter(() => happens(random, often));
  const coat: Coat = {
    ...BASES[kind](random),
    hoof: hsl(between(random, 15, 45), between(random, 0.05, 0.35), between(random, 0.1, 0.5)),
    socks: white.filter(() => happens(random, 0.7)),
    stockings: white.filter(() => happens(random, 0.5)),
    white: hsl(35, between(random, 0.02, 0.25), between(random, 0.65, 0.93)),
    blaze: happens(random, 0.4),
    boots: null,
  };
  return {
    coat,
    legs: legsOf(random, coat),
    pattern: pattern(random, kind),
    shading: happens(random, 0.6) ? between(random, 0, 0.35) : 0,
    halter: happens(random, 0.4) ? hsl(20, 0.3, between(random, 0.05, 0.3)) : cloth(random),
    rope: cloth(random),
    mane: happens(random, 0.9),
  };
}

export function clothes(random: Random): Clothes {
  const legs = weighted(random, { dark: 40, light: 35, any: 25 });
  const trousers = {
    dark: hsl(between(random, 190, 250), between(random, 0, 0.4), between(random, 0.05, 0.25)),
    light: hsl(between(random, 30, 60), between(random, 0, 0.25), between(random, 0.65, 0.95)),
    any: cloth(random),
  }[legs];
  const face = hsl(between(random, 14, 30), between(random, 0.25, 0.5), between(random, 0.2, 0.72));
  return {
    jacket: cloth(random),
    trousers,
    boots: happens(random, 0.3)
      ? trousers
      : happens(random, 0.6)
        ? hsl(25, 0.25, between(random, 0.05, 0.3))
        : cloth(random),
    skin: face,
    glove: happens(random, 0.5) ? face : cloth(random),
    helmet: happens(random, 0.5)
      ? hsl(between(random, 15, 50), 0.35, between(random, 0.05, 0.6))
      : cloth(random),
  };
}

export interface GroundLook {
  readonly colour: number;
  /** Spread of light from grain to grain, and from place to place, shares. */
  readonly grain: number;
  readonly stains: number;
  /** Width of one tile of the texture, m. */
  readonly tileM: number;
  /** Blades rather than grains; joints between slabs. */
  readonly kind: 'grains' | 'blades' | 'slabs';
}

function ground(random: Random): GroundLook {
  const kind = weighted(random, { sand: 34, grass: 28, road: 20, any: 18 });
  const hue = {
    sand: between(random, 18, 48),
    grass: between(random, 55, 120),
    road: between(random, 180, 260),
  };
  const rest = {
    grain: between(random, 0.04, 0.3),
    stains: between(random, 0, 0.3),
    tileM: between(random, 0.8, 2.5),
  };
  if (kind === 'any')
    return { ...rest, kind: oneOf(random, ['grains', 'slabs', 'blades'] as const), colour: cloth(random) };
  const light = {
    sand: between(random, 0.2, 0.82),
    grass: between(random, 0.14, 0.5),
    road: between(random, 0.2, 0.75),
  };
  const most = { sand: 0.45, grass: 0.5, road: 0.1 };
  return {
    ...rest,
    kind: kind === 'grass' ? 'blades' : kind === 'road' && happens(random, 0.4) ? 'slabs' : 'grains',
    colour: hsl(hue[kind], between(random, 0.03, most[kind]), light[kind]),
  };
}

export interface YardLook {
  readonly seed: number;
  readonly ground: GroundLook;
  readonly strip: GroundLook | null;
  readonly stripTurnDeg: number;
  readonly stripWideM: number;
  readonly sky: number;
  readonly haze: number;
  /** What stands at the horizon; `inside`: the walls of a hall. */
  readonly beyond: 'trees' | 'buildings' | 'hills' | 'hedge' | 'mixed' | 'inside';
  readonly fence: { readonly colour: number; readonly rails: number; readonly heightM: number } | null;
  /** Height of the grass or loose ground that the hooves stand in, m; 0 = none. */
  readonly cover: number;
}

export function yardLook(seed: number, random: Random): YardLook {
  const first = ground(random);
  const inside = happens(random, 0.12);
  const light = between(random, 0.35, 0.92);
  const rails = 1 + Math.floor(between(random, 0, 3));
  const deep = first.kind !== 'slabs' && happens(random, first.kind === 'blades' ? 0.45 : 0.12);
  return {
    seed,
    ground: first,
    strip: happens(random, 0.4) ? ground(random) : null,
    stripTurnDeg: between(random, -90, 90),
    stripWideM: between(random, 1.5, 9),
    sky: hsl(between(random, 195, 230), between(random, 0, 0.6), light),
    haze: hsl(between(random, 20, 220), between(random, 0, 0.3), Math.min(0.96, light + 0.1)),
    beyond: inside
      ? 'inside'
      : weighted(random, { trees: 30, buildings: 20, hills: 12, hedge: 14, mixed: 24 }),
    fence: happens(random, 0.55)
      ? {
          colour: happens(random, 0.5) ? hsl(30, 0.2, between(random, 0.15, 0.6)) : cloth(random),
          rails,
          heightM: between(random, 0.7, 1.6),
        }
      : null,
    cover: deep ? between(random, 0.03, first.kind === 'blades' ? 0.16 : 0.05) : 0,
  };
}

export interface LightLook {
  readonly sunHeadingDeg: number;
  readonly sunUpDeg: number;
  readonly sun: number;
  readonly sunColour: number;
  readonly sky: number;
  readonly skyColour: number;
  readonly groundColour: number;
  readonly shadow: number;
}

export function lightLook(random: Random): LightLook {
  const kind = weighted(random, { high: 40, low: 25, overcast: 35 });
  const up = {
    high: between(random, 30, 75),
    low: between(random, 9, 30),
    overcast: between(random, 40, 85),
  }[kind];
  const soft = kind === 'overcast';
  return {
    sunHeadingDeg: between(random, -180, 180),
    sunUpDeg: up,
    sun: soft ? between(random, 0.1, 1) : between(random, 1.8, 4.2),
    sunColour: hsl(
      kind === 'low' ? between(random, 22, 48) : 45,
      kind === 'low' ? 0.8 : 0.5,
      between(random, 0.8, 0.95),
    ),
    sky: soft ? between(random, 1.6, 3) : between(random, 0.6, 1.6),
    skyColour: hsl(between(random, 190, 230), between(random, 0, 0.5), between(random, 0.8, 0.95)),
    groundColour: hsl(between(random, 20, 110), between(random, 0, 0.4), between(random, 0.3, 0.65)),
    shadow: soft ? between(random, 0.04, 0.25) : between(random, 0.3, 0.65),
  };
}
