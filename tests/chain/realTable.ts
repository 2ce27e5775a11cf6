/**
 * What the chain measures on a real clip, beside what the same core measures from the points that come with the clip
 * (another network's: a second opinion, not truth).
 */
import { analyseTrack } from '../../src/gait/index.ts';
import type { Measure, SidePass } from '../../src/gait/types.ts';
import { measure, type Observed } from '../../src/pipeline.ts';
import { realTrack } from '../support/realTracks.ts';

export interface Row {
  readonly clip: string;
  readonly measure: string;
  /** Ours over theirs, less one; of overtrack and phases the difference in H and in strides. Null where one has none. */
  readonly by: number | null;
  /** Whether the two 95 % intervals share a value. */
  readonly overlap: boolean;
  /** Why they differ by more than 5 % here; empty where that is not known of. */
  readonly reason: string;
  readonly apart: boolean;
  readonly text: string;
}

/**
 * Theirs is the middle of the hoof, 2 - 3 % of the height above our toe, and their withers lie 1 % lower than ours
 * (hand labels against theirs): they see a horse 2 - 6 % less high, and lengths in heights longer by that.
 */
const SMALLER = 'their horse is less high: middle of the hoof, lower withers';
const BEHIND =
  'two prints of a single stride; their hoof is 3 % H behind our fore toe and 4 - 5 % behind our hind toe, their horse less high';
const TIMES =
  'one frame of these clips is 5 % of a stride; toe and middle of the hoof need not come to rest together';

const MEASURES: readonly [name: string, of: (pass: SidePass) => Measure, relative: boolean][] = [
  ['stride length / H', (p) => p.inWithersHeights.strideLengthH, true],
  ['stride duration, s', (p) => p.measures.strideDurationS, true],
  ['overtrack / H', (p) => p.inWithersHeights.overtrackH, false],
  ['phase LF', (p) => p.measures.limbPhaseFraction.LF, false],
  ['phase RH', (p) => p.measures.limbPhaseFraction.RH, false],
  ['phase RF', (p) => p.measures.limbPhaseFraction.RF, false],
];

const MIDDLE =
  'theirs is the middle of the hoof, farther behind the toe on hind feet: up to 2 % H of overtrack';
const NAMES =
  'of their two strides one has its hind legs exchanged: names that they mix are trusted where legs stand apart';
const ONE_FAR =
  'one stride of the far forehoof alone, at a steep angle to the camera, in 1.2 s; theirs is speed times duration';

/** Where the two differ by more than 5 %, looked at one by one. */
const KNOWN: Readonly<Record<string, string>> = {
  'c063 stride length / H': SMALLER,
  'c065 stride length / H': ONE_FAR,
  'c067 stride length / H': SMALLER,
  'c068 stride length / H': SMALLER,
  'c063 overtrack / H': BEHIND,
  'c067 overtrack / H': BEHIND,
  'c068 overtrack / H': BEHIND,
  'c069 overtrack / H': MIDDLE,
  'c063 phase LF': TIMES,
  'c066 phase LF': TIMES,
  'c066 phase RH': TIMES,
  'c067 phase LF': TIMES,
  'c068 phase LF': TIMES,
  'c070 phase RH': NAMES,
};

const figure = (m: Measure): string =>
  'value' in m ? `${m.value.toFixed(3)} (${m.low.toFixed(2)} .. ${m.high.toFixed(2)}, n ${m.n})` : m.reason;

export function compareWithOwnPoints(clip: string, seen: Observed): Row[] {
  const ours = measure(seen, [], null).passes[0];
  const theirs = analyseTrack(realTrack(clip), { withersM: null })[0];
  if (!ours || !theirs) throw new Error(`no pass in ${clip}`);
  const height = (ours.withersHeightPx ?? NaN) / (theirs.withersHeightPx ?? NaN);
  return MEASURES.map(([name, of, relative]): Row => {
    const [a, b] = [of(ours), of(theirs)];
    const both = 'value' in a && 'value' in b;
    const by = both ? (relative ? a.value / b.value - 1 : a.value - b.value) : null;
    const overlap = both && a.low <= b.high && b.low <= a.high;
    const share = both ? a.value / b.value - 1 : 0;
    const apart = by !== null && Math.abs(share) > 0.05;
    const reason = apart ? (KNOWN[`${clip} ${name}`] ?? '') : '';
    const change = both ? `${(100 * share).toFixed(1)} %` : '';
    const text = `| ${clip} | ${name} | ${figure(a)} | ${figure(b)} | ${change} | ${reason}${name.startsWith('stride l') ? ` (our height ${height.toFixed(3)} of theirs)` : ''} |`;
    return { clip, measure: name, by, overlap, reason, apart, text };
  });
}
