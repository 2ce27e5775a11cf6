/** Every pass of a clip with its measures: found, and as set by hand; by exact points of drawn clips with the noise of real ones. */
import { describe, expect, it } from 'vitest';
import { analyseCourse, analyseTrack, type ClipPass, type Course } from '../../src/gait/index.ts';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import type { GaitOptions, HeadAside, LineMeasures, Measure } from '../../src/gait/types.ts';
import { buildTrack } from '../../src/track/build.ts';
import { project } from '../truth/camera.ts';
import { CLIPS, type ClipPlan } from '../truth/plans.ts';
import { NOTHING_HIDDEN } from '../accuracy/exact.ts';
import { isSide } from '../truth/trueMeasures.ts';
import { cameraOf, truthOf } from '../truth/truth.ts';
import { mirrored, seenOf } from './drawnClips.ts';

const plan = CLIPS['triangle'] as ClipPlan;
const truth = truthOf(plan, () => NOTHING_HIDDEN);
const clip = seenOf(plan, truth);
const track = buildTrack(clip.frames, clip.motion, [], clip.picture);
const views = clip.frames.map(({ horse }) => horse?.view ?? 'none');
const OPTIONS = { withersM: truth.withersM };

const found = analyseCourse(track, views, OPTIONS);
const given = (spans: unknown): Course =>
  analyseCourse(track, views, OPTIONS, {
    ...{ kind: 'passes', id: 'a', timeS: 0 },
    spans: spans as readonly ClipPass[],
  });
const spansOf = ({ course }: Course): ClipPass[] =>
  course.map((one) => {
    const { kind, startS, endS } = one;
    return one.kind === 'side' ? { kind, startS, endS, direction: one.direction } : { kind, startS, endS };
  });
const sideOf = ({ course }: Course) => {
  const [side] = course.flatMap((one) => (one.kind === 'side' ? [one] : []));
  if (!side?.pass) throw new Error('no side pass');
  return { ...side, pass: side.pass };
};
const changed = (k: number, change: Partial<ClipPass>): ClipPass[] =>
  spansOf(found).map((one, i) => (i === k ? { ...one, ...change } : one));

describe('the course of the triangle', () => {
  it('has all its passes in order of time, each with the measures of its kind', () => {
    const kinds = found.course.map(({ kind }) => kind);
    expect(kinds).toEqual(truth.passes.map(({ kind }) => kind));
    expect(kinds).toEqual(['away', 'turn', 'side', 'turn', 'towards']);
    found.course.forEach((one, i) => {
      expect(one.startS).toBeGreaterThan(found.course[i - 1]?.endS ?? -1);
      if (one.kind === 'away' || one.kind === 'towards')
        expect(one.pass).toEqual(analyseLinePass(track, { ...one, kind: one.kind }, truth.withersM));
      if (one.kind === 'turn') expect(Object.keys(one).sort()).toEqual(['endS', 'kind', 'startS']);
    });
  });

  it('leaves the side passes as they are', () => {
    expect(found.passes).toEqual(analyseTrack(track, OPTIONS));
    expect(found.passes).toHaveLength(1);
    expect(sideOf(found).pass).toBe(found.passes[0]);
  });

  it('gives lengths on the ways away and back by a distance marked on the ground beside the way past', () => {
    const courseOf = (options: Omit<GaitOptions, 'withersM'>, withersM: number | null = null): Course =>
      analyseCourse(track, views, { withersM, ...options });
    const widthOf = ({ course: [away] }: Course): Measure => {
      if (away?.kind !== 'away') throw new Error('it begins otherwise');
      return away.pass.measures.baseWidthHindM;
    };
    expect(widthOf(courseOf({}))).toEqual({ reason: 'withersHeightMissing' });
    const side = sideOf(found);
    const timeS = clip.frames.find((f) => f.timeS > (side.startS + side.endS) / 2)?.timeS ?? NaN;
    const [from, to] = truth.stances.filter(({ onS, offS }) => onS < timeS && offS > timeS);
    if (!from || !to) throw new Error('no hooves on the ground');
    const px = ({ yardM: [x, y] }: typeof from) => project(cameraOf(plan)(timeS), [x, y, 0]);
    const distanceM = Math.hypot(from.yardM[0] - to.yardM[0], from.yardM[1] - to.yardM[1]);
    const byMarks = courseOf({
      groundDistance: { kind: 'distance', id: 'd', timeS, from: px(from), to: px(to), distanceM },
    });
    const { withersM = null, withersSdM } = byMarks.passes[0] ?? {};
    const [marked, typed, same] = [byMarks, found, courseOf({}, withersM)].map(widthOf);
    if (!typed || !marked || !same || !('value' in typed) || !('value' in marked) || !('value' in same))
      throw new Error('no base width');
    expect(marked.value / typed.value).toBeCloseTo(1, 1);
    // Less sure than a stick, by the share of the value that the height is unsure by: 95 % is 1.96 SD of a normal error.
    expect(withersSdM).toBeGreaterThan(0.01);
    expect(marked.value).toBe(same.value);
    const half = (m: typeof marked): number => (m.high - m.low) / 2;
    const ofHeight = (sdM = NaN): number => (1.96 * marked.value * sdM) / (withersM ?? NaN);
    expect(half(marked) ** 2 - half(same) ** 2).toBeCloseTo(
      ofHeight(withersSdM) ** 2 - ofHeight(0.01) ** 2,
      12,
    );
  });
});

/** A way 52 degrees off the picture, of which the network says all the same that it shows a side. */
function obliqueClip() {
  const slanting: ClipPlan = {
    ...plan,
    path: { fromM: [-2.5, -3], headingDeg: 52, legs: [], wander: [] },
    camera: { ...plan.camera, frames: 180, headingDeg: 90, follow: false, shakeDeg: 0, shakeM: 0 },
  };
  const { frames, motion, picture } = seenOf(
    slanting,
    truthOf(slanting, () => NOTHING_HIDDEN),
  );
  const seen = buildTrack(frames, motion, [], picture);
  const sides = frames.map(() => 'right');
  const oblique = (spans: readonly ClipPass[]): Course =>
    analyseCourse(seen, sides, OPTIONS, { kind: 'passes', id: 'a', timeS: 0, spans });
  return { oblique, all: analyseCourse(seen, sides, OPTIONS).course };
}

/** What the measures of a way away or back are in the mirror: left is right there. */
function inMirror({ hindOnForeM, swingOutM, head, ...path }: LineMeasures): LineMeasures {
  const turned = (m: Measure): Measure =>
    'value' in m ? { ...m, value: -m.value, low: -m.high, high: -m.low, side: otherSide(m.side) } : m;
  const same = (m: Measure): Measure => ('value' in m ? { ...m, side: otherSide(m.side) } : m);
  const aside = ({ asideM, leftShare, rightShare }: HeadAside): HeadAside => ({
    asideM: turned(asideM),
    ...(leftShare === undefined || rightShare === undefined
      ? {}
      : { leftShare: rightShare, rightShare: leftShare }),
  });
  const { LH, LF, RH, RF } = swingOutM;
  return {
    ...path,
    pathDriftDeg: turned(path.pathDriftDeg),
    hindOnForeM: { left: turned(hindOnForeM.right), right: turned(hindOnForeM.left) },
    swingOutM: { LH: same(RH), LF: same(RF), RH: same(LH), RF: same(LF) },
    head: { ...head, poll: aside(head.poll), muzzle: aside(head.muzzle) },
  };
}
const otherSide = (side: 'left' | 'right' | 'both') =>
  (({ left: 'right', right: 'left', both: 'both' }) as const)[side];
/** Sums taken the other way round differ in the last digits. */
const rounded = (value: unknown): unknown =>
  JSON.parse(
    JSON.stringify(value, (_, one: unknown) => (typeof one === 'number' ? Number(one.toFixed(9)) + 0 : one)),
  );

it('the course of a mirrored clip is the mirrored one, every number of the ways away and back too', () => {
  const other = mirrored(clip);
  const seen = buildTrack(other.frames, other.motion, [], other.picture);
  const { course } = analyseCourse(
    seen,
    other.frames.map(({ horse }) => horse?.view ?? 'none'),
    OPTIONS,
  );
  const borders = spansOf(found).map((one) =>
    one.direction ? { ...one, direction: otherSide(one.direction) } : one,
  );
  expect(spansOf({ course, passes: [] })).toEqual(borders);
  const lines = (list: Course['course']) =>
    list.flatMap((one) => (one.kind === 'away' || one.kind === 'towards' ? [one.pass.measures] : []));
  expect(lines(course)).toHaveLength(2);
  expect(JSON.stringify(lines(course))).toContain('"value"');
  expect(rounded(lines(course))).toEqual(rounded(lines(found.course).map(inMirror)));
});

describe('passes set by hand', () => {
  it('that were found so change no number', () => {
    expect(given(spansOf(found))).toEqual(found);
  });

  it('leave the numbers of the passes that were not moved', () => {
    const side = sideOf(found);
    const moved = given(changed(0, { startS: 0.5 }));
    expect(moved.course.slice(1)).toEqual(found.course.slice(1));
    expect(moved.course[0]).toMatchObject({ kind: 'away', startS: 0.5, pass: { startS: 0.5 } });
    expect(sideOf(moved).pass).toEqual(side.pass);
  });

  it('leave a pass alone whose found border lies a frame off since, as a point put right may move it', () => {
    const frameS = (track.timesS[1] ?? 0) - (track.timesS[0] ?? 0);
    const side = sideOf(found);
    for (const by of [-frameS, frameS]) {
      const moved = sideOf(given(changed(2, { startS: side.startS + by, endS: side.endS + by })));
      expect(moved.pass).toEqual(side.pass);
    }
  });

  it('are measured within their borders', () => {
    const side = sideOf(found);
    const [startS, endS] = [side.startS + 0.8, side.endS - 0.6];
    const cut = sideOf(given(changed(2, { startS, endS })));
    expect(cut).toMatchObject({ startS, endS, direction: 'right' });
    expect(cut.pass.startS).toBeGreaterThanOrEqual(startS);
    expect(cut.pass.endS).toBeLessThanOrEqual(endS);
    const { strideLengthM } = cut.pass.measures;
    const [past] = truth.passes.filter(isSide);
    if (!('value' in strideLengthM)) throw new Error('no stride');
    // A bar of the whole way, as in accuracy.test.ts.
    expect(Math.abs(strideLengthM.value / (past?.measures.strideLengthM.both ?? NaN) - 1)).toBeLessThan(0.02);
  });

  it('can be of another kind: a turn called a walk past is measured as straight as it is, or not at all', () => {
    const { course, passes } = given(changed(1, { kind: 'side' }));
    expect(course.map(({ kind }) => kind)).toEqual(['away', 'side', 'side', 'turn', 'towards']);
    expect(passes).toHaveLength(2);
    expect(sideOf({ course: course.slice(2), passes }).pass).toEqual(sideOf(found).pass);
    const away = given(changed(0, { kind: 'stand' }));
    expect(away.course[0]).toEqual({
      kind: 'stand',
      startS: found.course[0]?.startS,
      endS: found.course[0]?.endS,
    });
    const wrong = given(changed(0, { kind: 'towards' })).course[0];
    if (wrong?.kind !== 'towards') throw new Error('not as set');
    expect(wrong.pass.measures.pathDriftDeg).toEqual({ reason: 'scaleUnsure' });
  });

  it('may be none', () => {
    expect(given([])).toEqual({ course: [], passes: [] });
  });

  it('are put in order, and kept from overlapping', () => {
    const [away, turn, ...rest] = spansOf(found);
    if (!away || !turn) throw new Error('no passes');
    const { course } = given([turn, { ...away, endS: turn.startS + 0.4 }, ...rest]);
    expect(course.map(({ kind }) => kind)).toEqual(found.course.map(({ kind }) => kind));
    expect(course[1]).toEqual({ ...turn, startS: turn.startS + 0.4 });
  });

  it('that can be none are left out, and a list of such counts as none', () => {
    const broken = [
      null,
      'side',
      {},
      { kind: 'trot', startS: 1, endS: 2 },
      { kind: 'turn', startS: 2, endS: 1 },
      { kind: 'turn', startS: NaN, endS: 1 },
      { kind: 'turn', startS: 1, endS: Infinity },
      { kind: 'turn', startS: '1', endS: 2 },
      { kind: 'side', startS: 1, endS: 2, direction: 'up' },
    ];
    expect(given([...broken, ...spansOf(found)])).toEqual(found);
    expect(given(broken)).toEqual(found);
    for (const none of [undefined, null, 'all', 7, { length: 1 }]) expect(given(none)).toEqual(found);
  });

  it('give no numbers to a walk past that is too oblique for any, moved or not', () => {
    const { oblique, all } = obliqueClip();
    const [found] = all;
    expect(found?.kind).toBe('side');
    expect(found).toMatchObject({ pass: null });
    if (found?.kind !== 'side') throw new Error('no side pass');
    const { kind, startS, endS, direction } = found;
    const stand: ClipPass = { kind: 'stand', startS: endS, endS: endS + 0.1 };
    for (const by of [0, 0.4]) {
      const { course, passes } = oblique([{ kind, startS: startS + by, endS: endS - by, direction }, stand]);
      expect(course[0]).toEqual({ kind, startS: startS + by, endS: endS - by, direction, pass: null });
      expect(passes).toEqual([]);
    }
  });

  it('give no numbers where the horse does not walk past', () => {
    const towards = found.course[4];
    if (!towards) throw new Error('no way back');
    const { startS, endS } = towards;
    const all = given([{ kind: 'side', startS: (startS + endS) / 2, endS, direction: 'left' }]);
    expect(all.course).toMatchObject([{ kind: 'side', pass: null }]);
    expect(all.passes).toEqual([]);
  });

  it('outside the clip give reasons and no number', () => {
    const { course } = given([
      { kind: 'away', startS: -9, endS: -8 },
      { kind: 'side', startS: 90, endS: 91 },
      { kind: 'towards', startS: 91, endS: 92, direction: 'left' },
    ]);
    expect(course).toHaveLength(3);
    const text = JSON.stringify(course.map((one) => ('pass' in one ? one.pass?.measures : null)));
    expect(text).toContain('reason');
    // But for the phase of the left hind, which is 0 by definition.
    expect(text.replace(/"LH":\{"value":0[^}]*\}/, '')).not.toContain('value');
  });
});
