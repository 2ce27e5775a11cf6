/**
 * The networks, and one step through them: a picture and what is known so far in, what the picture shows and what
 * is known now out. Holds no state of a clip.
 */
import type { PoseDetector } from '@tensorflow-models/pose-detection';
import type { GraphModel } from '@tensorflow/tfjs-converter';
import type { Box, Picture } from '../clip/types.ts';
import { counts, type Looked, type Spot } from './ahead.ts';
import { blurPxIn } from './blur.ts';
import { overlap } from './boxes.ts';
import { wholePicture, type Source, type Square } from './crop.ts';
import { find } from './find.ts';
import {
  afterDetection,
  afterNothing,
  afterPose,
  atTime,
  peopleNow,
  qualityOf,
  squareAt,
  wantsDetection,
} from './follow.ts';
import { nothingFollowed, type FollowState } from './followState.ts';
import { squareOfBox, squareOfPoints } from './squarePath.ts';
import { carried, handlerOf, withoutHandlerFeet } from './handler.ts';
import { lookAt, type LookOptions, type Network } from './network.ts';
import { personIn } from './people.ts';
import type { HorsePose, Observation, PoseFrame } from './types.ts';

export interface Engine {
  readonly network: Network;
  readonly detector: GraphModel;
  /** Loaded when somebody is first seen near the horse. */
  readonly personFinder: () => Promise<PoseDetector>;
}

interface HandlerState {
  readonly box: Box | null;
  readonly feet: readonly Observation[];
  readonly seenS: number | null;
  /** Where the horse's square was then: the feet are carried along with it. */
  readonly horseAt: Square | null;
}

/** All that is known of a clip between two frames; plain data. */
export interface ClipState {
  readonly follow: FollowState;
  readonly handler: HandlerState;
}

const nobody: HandlerState = { box: null, feet: [], seenS: null, horseAt: null };
export const startOfClip: ClipState = { follow: nothingFollowed, handler: nobody };

export interface StepOptions extends LookOptions {
  /** Time between two looks at the handler, s; 0 looks at every frame. Default 0.25. */
  readonly handlerEveryS?: number;
}

async function findHorse(engine: Engine, picture: Picture, before: FollowState): Promise<FollowState> {
  const state = atTime(before, picture.timeS);
  if (!wantsDetection(state, picture.timeS)) return state;
  const found = await find(engine.detector, picture);
  if (found.horses.length > 0 || state.square) return afterDetection(state, found, picture.timeS);
  const alone = await horseAlone(engine.network, picture, {});
  const horses = alone ? [{ box: alone.box, score: qualityOf(alone) }] : [];
  return afterDetection(state, { ...found, horses }, picture.timeS);
}

/** A horse that no detector has confirmed must show this mean score of its best points. */
const SURE_ALONE = 0.5;

/** The horse that fills the picture, where the detector found none but the points are sure. */
async function horseAlone(network: Network, source: Source, options: LookOptions): Promise<HorsePose | null> {
  const pose = await poseIn(network, source, wholePicture(source), true, options);
  return qualityOf(pose) >= SURE_ALONE ? pose : null;
}

/**
 * Looks at a square; a newly found horse is looked at again, centred by its own points, and where it faces right
 * in the mirror, as it will be from then on.
 */
async function poseIn(
  network: Network,
  source: Source,
  square: Square,
  fresh: boolean,
  options: LookOptions,
): Promise<HorsePose> {
  const plain = await lookAt(network, source, square, options);
  if (!fresh) return plain;
  const turn = plain.view === 'right' && !options.bothWays;
  const way = turn ? { ...options, mirrored: true } : options;
  const first = turn ? await lookAt(network, source, square, way) : plain;
  const centred = squareOfPoints(first);
  if (!centred) return first;
  const second = await lookAt(network, source, centred, way);
  return qualityOf(second) > 0.9 * qualityOf(first) ? second : first;
}

async function findHandler(
  engine: Engine,
  picture: Picture,
  state: ClipState,
  horse: HorsePose,
  everyS: number,
): Promise<HandlerState> {
  const { handler, follow } = state;
  const { timeS } = picture;
  const due = handler.seenS === null || timeS - handler.seenS >= everyS - 5e-4 || timeS < handler.seenS;
  if (!due) return handler;
  // Right after a detection its boxes count; later the person's own points lead on.
  const box = (follow.detectedS === timeS ? null : handler.box) ?? handlerOf(peopleNow(follow), horse.box);
  if (!box) return { ...nobody, seenS: timeS };
  const person = await personIn(await engine.personFinder(), picture, box);
  if (!person) return { ...nobody, seenS: timeS };
  return { box: person.box, feet: person.feet, seenS: timeS, horseAt: follow.square };
}

/** Feet where they should be now: they go with the horse, roughly, until they are looked at again. */
function feetNow(handler: HandlerState, square: Square | null): Observation[] {
  if (!handler.horseAt || !square) return [...handler.feet];
  return carried(handler.feet, square.x - handler.horseAt.x, square.y - handler.horseAt.y);
}

/** Looks at a picture ahead of its turn. */
export async function lookAhead(
  network: Network,
  source: Source,
  { square, mirrored }: Spot,
  options: LookOptions = {},
): Promise<Looked> {
  const pose = await lookAt(network, source, square, { ...options, mirrored });
  return { square, mirrored, pose };
}

/** One frame of a clip. Pictures should come in the order of their times; a jump starts the search anew. `looked`: what
 * was seen of it ahead of its turn, if it was. */
export async function step(
  engine: Engine,
  picture: Picture,
  before: ClipState,
  options: StepOptions = {},
  looked: Looked | null = null,
): Promise<{ readonly state: ClipState; readonly frame: PoseFrame }> {
  const { timeS } = picture;
  const follow = await findHorse(engine, picture, before.follow);
  const square = squareAt(follow, timeS);
  const nothing = { timeS, horse: null, people: follow.people, handlerFeet: [] };
  if (!square) return { state: { follow: afterNothing(follow, timeS), handler: nobody }, frame: nothing };
  const { fresh, mirrored } = follow;
  const pose =
    looked && counts(looked, follow, square)
      ? looked.pose
      : await poseIn(engine.network, picture, square, fresh, { ...options, mirrored });
  const after = afterPose(follow, pose, timeS, picture);
  if (!after.horse) return { state: { follow: after.state, handler: before.handler }, frame: nothing };
  const state = { follow: after.state, handler: before.handler };
  const handler = await findHandler(engine, picture, state, after.horse, options.handlerEveryS ?? 0.25);
  const feet = feetNow(handler, after.state.square);
  const horse = withoutHandlerFeet(after.horse, feet);
  const blurPx = blurPxIn(picture, after.horse.box);
  return {
    state: { follow: after.state, handler },
    frame: {
      timeS,
      horse,
      identity: after.state.identity,
      ...(blurPx === null ? {} : { blurPx }),
      people: peopleNow(after.state),
      handlerFeet: feet,
    },
  };
}

const PHOTO: LookOptions = { bothWays: true };
const SURE_FOUND = 0.35;

/** Every horse of a single picture, the largest first. */
export async function horsesIn(
  engine: Pick<Engine, 'network' | 'detector'>,
  source: Source,
  options: LookOptions = PHOTO,
): Promise<HorsePose[]> {
  const found = await find(engine.detector, source);
  const poses: HorsePose[] = [];
  for (const { box } of [...found.horses].sort((a, b) => sideOf(b.box) - sideOf(a.box))) {
    const pose = await poseIn(engine.network, source, squareOfBox(box), true, options);
    const double = poses.some((p) => overlap(p.box, pose.box) > 0.6);
    if (qualityOf(pose) >= SURE_FOUND && !double) poses.push(pose);
  }
  if (poses.length > 0) return poses;
  const alone = await horseAlone(engine.network, source, options);
  return alone ? [alone] : [];
}

const sideOf = (box: Box): number => Math.max(box[2] - box[0], box[3] - box[1]);
