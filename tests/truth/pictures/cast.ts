/** Everybody in a drawn picture as pieces of skin: the horse with its pattern and gear, the people. */
import type { Limb } from '../../../src/points.ts';
import { bodyParts, type Part } from '../bodyParts.ts';
import { mixColour, type Ring } from '../loft.ts';
import type { Motion } from '../motion.ts';
import type { HorsePose } from '../pose.ts';
import { noiseIn } from './chance.ts';
import type { Piece } from './flesh.ts';
import type { HorseLook, Pattern } from './looks.ts';
import { around, personPieces } from './people.ts';
import type { Scene, Shot } from './plans.ts';
import { boned, tailed, underRump, type Warps } from './shape.ts';

type Paint = NonNullable<Piece['paint']>;

const HEAD = /^(neck|mane|head|ear|eye|nostril|noseband|headpiece|blaze)/;
const GEAR = /^(noseband|headpiece)/;

/** How much of the pattern's colour lies at a place given in withers heights, 0 to 1. */
function cover({ kind, seed, sizeH, share }: Pattern): (x: number, y: number, z: number) => number {
  const noise = noiseIn(seed);
  const [low, high] = kind === 'patches' ? [0.02, 0.5] : [0.18, 0.5];
  const edge = 0.5 + (0.5 - share) * high;
  return (x, y, z) => {
    const n = noise(x / sizeH, y / sizeH, z / sizeH);
    const on = Math.min(1, Math.max(0, (n - edge) / low + 0.5));
    return kind === 'patches' ? on : 0.75 * on;
  };
}

/** The coat's own colour at each place; gear, hooves, eyes and bandages keep theirs. */
function painter(look: HorseLook, pose: HorsePose, h: number): Paint {
  const { pattern, shading, coat } = look;
  const covered = pattern && cover(pattern);
  const kept = new Set(Object.values(look.legs).map((leg) => leg.boots));
  return (x, y, z, ring) => {
    if (kept.has(ring.colour)) return ring.colour;
    const zH = z / h;
    const dark =
      shading > 0 && ring.colour === coat.body ? shading * Math.min(1, Math.max(-1, (zH - 0.72) * 3)) : 0;
    const shaded =
      dark > 0 ? mixColour(ring.colour, 0, 0.6 * dark) : mixColour(ring.colour, 0xd8c8a8, -0.5 * dark);
    if (!pattern || !covered) return shaded;
    const legs = pattern.kind === 'patches' ? 1 : Math.min(1, Math.max(0, (zH - 0.3) / 0.2));
    const share = legs * covered((x - pose.bodyX) / h, y / h, zH);
    return share > 0 ? mixColour(shaded, pattern.colour, share) : shaded;
  };
}

/** Every other ring of a long part, and its last. */
function thinned(rings: readonly Ring[]): readonly Ring[] {
  return rings.length < 16 ? rings : rings.filter((_, i) => i % 2 === 0 || i === rings.length - 1);
}

function horsePiece(
  name: string,
  part: Part,
  of: { scene: Scene; pose: HorsePose; warps: Warps; paint: Paint },
): Piece {
  const { look, body } = of.scene;
  const warp = HEAD.test(name) ? of.warps.head : of.warps.trunk;
  const piece = { name, around: around(part.around), warp };
  if (GEAR.test(name)) return { ...piece, rings: part.rings, paint: () => look.halter };
  if (/^(eye|nostril)/.test(name) || name.endsWith('hoof')) return { ...piece, rings: part.rings };
  if (name === 'tail') return { ...piece, rings: tailed(part.rings, body.shape, of.pose.tailhead) };
  if (name === 'mane') return { ...piece, rings: part.rings };
  if (!/^[LR][HF]$/.test(name)) return { ...piece, rings: part.rings, paint: of.paint };
  const limb = boned(part.rings, body.shape, body.withersM);
  const rings = name.endsWith('H') ? underRump(limb, of.pose.croup, body.withersM) : limb;
  return { ...piece, rings, paint: of.paint };
}

function horsePieces(scene: Scene, m: Motion, pose: HorsePose, warps: Warps): Piece[] {
  const { look } = scene;
  const paint = painter(look, pose, m.withersM);
  const parts = bodyParts(m, pose, look.coat, null, (limb: Limb) => look.legs[limb]);
  return Object.entries(parts)
    .filter(([name]) => look.mane || name !== 'mane')
    .map(([name, part]) =>
      horsePiece(name, { ...part, rings: thinned(part.rings) }, { scene, pose, warps, paint }),
    );
}

export const isHorse = (name: string): boolean => !name.startsWith('handler') && name !== 'rope';

export function castOf(scene: Scene, shot: Shot, of: { m: Motion; pose: HorsePose; warps: Warps }): Piece[] {
  const people = shot.people.flatMap((person, k) =>
    personPieces(person, k, { ...of, rope: scene.look.rope }),
  );
  return [...horsePieces(scene, of.m, of.pose, of.warps), ...people];
}
