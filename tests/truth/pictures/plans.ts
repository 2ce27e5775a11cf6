/**
 * Seeded pictures of led horses for training: what stands in each and how it is taken. One scene (yard, horse, people,
 * light) serves a run of pictures. Plain data; the same seed gives the same plans.
 */
import { type Side } from '../../../src/points.ts';
import type { Clothes } from '../handler.ts';
import { between, chances, happens, weighted, type Random } from './chance.ts';
import { body, carriage, going, type Body, type Carriage, type Going } from './horses.ts';
import {
  clothes,
  horseLook,
  lightLook,
  yardLook,
  type HorseLook,
  type LightLook,
  type YardLook,
} from './looks.ts';

export type View = 'left' | 'right' | 'away' | 'towards';

/** Scenes are numbered from here on; the bench and the sample clips have seeds below. */
export const PICTURE_SEED = 50_000_000;
/** Runs of different `--seed` are this far apart. */
const SEED_STEP = 100_000;
export const MOST_SEED = 15_000;
export const SHOTS_PER_SCENE = 36;

export interface Person {
  readonly side: Side;
  readonly aheadH: number;
  readonly asideM: number;
  readonly clothes: Clothes;
  /** Holds the rope. */
  readonly leads: boolean;
  /** Height as a share of the usual. */
  readonly tall: number;
}

export interface Scene {
  readonly seed: number;
  readonly yard: YardLook;
  readonly light: LightLook;
  readonly look: HorseLook;
  readonly body: Body;
}

/** What differs from picture to picture. */
export interface Shot {
  readonly seed: number;
  readonly wanted: View;
  readonly going: Going;
  readonly carriage: Carriage;
  readonly timeS: number;
  readonly people: readonly Person[];
  /** Bearing of the camera from the horse: 0 = ahead, 90 = to its left, 180 = behind, degrees. */
  readonly bearingDeg: number;
  readonly distanceM: number;
  readonly heightM: number;
  readonly focalShare: number;
  /** Where the horse is in the whole picture: -1 .. 1 of half its width and height. */
  readonly offAxis: readonly [number, number];
  readonly rollDeg: number;
  readonly frame: Framing;
  readonly film: Film;
  readonly surroundingsTurnDeg: number;
  readonly fenceBehindM: number;
  readonly fenceTurnDeg: number;
}

/** The square about the horse. */
export interface Framing {
  /** Longer side of the horse as a share of the square. */
  readonly fill: number;
  /** Off the middle, shares of the room that is left: -1 .. 1 keeps the horse inside. */
  readonly offset: readonly [number, number];
  /** The picture's border cuts the horse there: share of the horse that lies beyond; the border is repeated. */
  readonly border: { readonly side: 'left' | 'right' | 'top' | 'bottom'; readonly share: number } | null;
}

/** What lens, sensor and file do. */
export interface Film {
  /** Side of the picture taken, share of the final square: small where the horse was far away. */
  readonly resolution: number;
  /** Movement within the exposure; 0 = sharp. */
  readonly shutterS: number;
  readonly gain: number;
  readonly gamma: number;
  /** Red and blue against green. */
  readonly warmth: number;
  readonly tint: number;
  /** SD, grey levels. */
  readonly noise: number;
  readonly blurPx: number;
  readonly quality: number;
}

export const sceneSeed = (seed: number, scene: number): number => {
  if (!(seed >= 0 && seed <= MOST_SEED)) throw new RangeError(`--seed goes from 0 to ${MOST_SEED}`);
  return PICTURE_SEED + seed * SEED_STEP + scene;
};

export function scenePlan(seed: number): Scene {
  const random = chances(seed);
  return {
    seed,
    yard: yardLook(Math.floor(random.uniform() * 2 ** 31), random),
    light: lightLook(random),
    look: horseLook(random),
    body: body(random),
  };
}

/** Middle of each view, and how far to both sides: half of the pictures nearly straight, the others up to its bounds. */
const BEARINGS = { towards: 0, left: 90, away: 180, right: -90 };
function bearing(random: Random, view: View): number {
  const most = happens(random, 0.5) ? 12 : 44;
  return BEARINGS[view] + between(random, -most, most);
}

function person(random: Random, leads: boolean): Person {
  const place = leads
    ? weighted(random, { shoulder: 50, head: 25, before: 25 })
    : weighted(random, { before: 30, flank: 35, behind: 35 });
  const [aheadH, asideM] = {
    shoulder: [between(random, 0.1, 0.5), between(random, 0.6, 1.1)],
    head: [between(random, 0.5, 0.85), between(random, 0.5, 1.2)],
    before: [between(random, 0.95, 1.7), between(random, 0.05, 0.7)],
    flank: [between(random, -0.9, 0.1), between(random, 0.8, 2.6)],
    behind: [between(random, -2.6, -1.3), between(random, 0, 1.5)],
  }[place] as [number, number];
  const side = happens(random, 0.6) ? 'left' : 'right';
  return { side, aheadH, asideM, clothes: clothes(random), leads, tall: between(random, 0.9, 1.06) };
}

/** Who was there all along, and who of them is there now: most pictures show the leader alone. */
function people(random: Random, cast: readonly Person[]): Person[] {
  const who = weighted(random, { leader: 66, both: 20, nobody: 14 });
  const there = who === 'nobody' ? [] : who === 'both' ? cast : cast.slice(0, 1);
  // The same person, elsewhere beside the horse.
  return there.map((p) => (happens(random, 0.6) ? p : { ...person(random, p.leads), clothes: p.clothes }));
}

/** Nobody stands before the lens. */
const LENS_FREE_M = 1.6;
function clearOf(person: Person, h: number, bearingDeg: number, distanceM: number): boolean {
  const bearing = (bearingDeg * Math.PI) / 180;
  const [x, y] = [distanceM * Math.cos(bearing) - 0.25 * h, distanceM * Math.sin(bearing)];
  const aside = person.side === 'left' ? person.asideM : -person.asideM;
  return Math.hypot(x - person.aheadH * h, y - aside) > LENS_FREE_M;
}

/** A head that would be turned into somebody beside it stays nearly straight. */
function besidePeople(head: Carriage, list: readonly Person[]): Carriage {
  const blocked = list.some(
    (p) => p.aheadH > 0.1 && p.aheadH < 1.3 && p.asideM < 1.2 && (p.side === 'left') === head.headTurnDeg > 0,
  );
  return blocked ? { ...head, headTurnDeg: Math.min(8, Math.max(-8, head.headTurnDeg)) } : head;
}

function framing(random: Random): Framing {
  const beyond = happens(random, 0.08);
  const reach = beyond ? 1.6 : 0.9;
  const side = weighted(random, { left: 40, right: 40, top: 5, bottom: 15 });
  return {
    fill: between(random, 0.55, 0.9),
    offset: [between(random, -reach, reach), between(random, -reach, reach)],
    border: happens(random, 0.12) ? { side, share: between(random, 0.02, 0.4) } : null,
  };
}

function film(random: Random): Film {
  const poor = happens(random, 0.3);
  return {
    resolution: poor ? between(random, 0.4, 0.8) : between(random, 0.8, 1),
    shutterS: happens(random, 0.2) ? between(random, 1 / 250, 1 / 40) : 0,
    gain: Math.exp(happens(random, 0.25) ? between(random, -0.9, 0.7) : between(random, -0.25, 0.25)),
    gamma: between(random, 0.8, 1.25),
    warmth: between(random, -0.1, 0.1),
    tint: between(random, -0.05, 0.05),
    noise: happens(random, 0.3) ? between(random, 3, 11) : between(random, 0, 3),
    blurPx: happens(random, 0.3) ? between(random, 0.4, 1.5) : 0,
    quality: between(random, 0.4, 0.95),
  };
}

function shotPlan(random: Random, seed: number, scene: Scene, cast: readonly Person[]): Shot {
  const wanted = weighted(random, { left: 30, right: 30, away: 20, towards: 20 });
  const head = carriage(random, scene.body);
  const near = wanted === 'left' || wanted === 'right' ? 2.5 : 3.5;
  const bearingDeg = bearing(random, wanted);
  const distanceM = near * (25 / near) ** random.uniform();
  const there = people(random, cast);
  return {
    seed,
    wanted,
    going: going(random, scene.body, head),
    carriage: besidePeople(head, there),
    timeS: between(random, 0, 3),
    people: there.filter((p) => clearOf(p, scene.body.withersM, bearingDeg, distanceM)),
    bearingDeg,
    distanceM,
    heightM: between(random, 0.6, 2),
    focalShare: between(random, 0.5, 1.3),
    offAxis: [between(random, -0.6, 0.6), between(random, -0.4, 0.4)],
    rollDeg: happens(random, 0.5) ? between(random, -4, 4) : 0,
    frame: framing(random),
    film: film(random),
    surroundingsTurnDeg: between(random, 0, 360),
    fenceBehindM: between(random, 1.2, 9),
    fenceTurnDeg: between(random, -35, 35),
  };
}

/** The pictures of one scene. */
export function shotPlans(scene: Scene, count = SHOTS_PER_SCENE): Shot[] {
  const random = chances(scene.seed ^ 0x5bd1e995);
  const cast = [person(random, true), person(random, false)];
  return Array.from({ length: count }, () => shotPlan(random, scene.seed, scene, cast));
}

/** Scenes of a run with how many pictures each gives. */
export function runPlan(
  seed: number,
  count: number,
): { readonly scene: Scene; readonly shots: readonly Shot[] }[] {
  const scenes = Math.ceil(count / SHOTS_PER_SCENE);
  if (scenes >= SEED_STEP) throw new RangeError('too many pictures for one seed');
  return Array.from({ length: scenes }, (_, i) => {
    const scene = scenePlan(sceneSeed(seed, i));
    const shots = shotPlans(scene);
    return { scene, shots: shots.slice(0, Math.min(SHOTS_PER_SCENE, count - i * SHOTS_PER_SCENE)) };
  });
}
