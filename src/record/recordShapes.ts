/** What the records of each table look like: held against what the user types and what a backup brings. */
import { PASS_KINDS } from '../gait/passKinds.ts';
import { LIMBS, POINT_NAMES } from '../points.ts';
import { RESULT_SCHEMA } from '../report/contract.ts';
import { HEIGHT_METHODS, SEXES } from './model.ts';
import {
  atLeast,
  between,
  boolean,
  type Check,
  day,
  either,
  exactly,
  list,
  mapOf,
  matching,
  moment,
  number,
  one,
  orNull,
  text,
  tuple,
  whole,
} from './shapes.ts';

const LINE = 200;
const NOTE = 20_000;
/** Withers of any horse, m; the range of the page. */
const HEIGHT_M = between(0.3, 2.5);

const id = matching(/^[0-9a-f]{32}$/);
const sha256 = matching(/^[0-9a-f]{64}$/);
/** A clip's, or that of one horse chosen in it. */
const key = matching(/^[0-9a-f]{64}(@[0-9.,:e+-]{1,200})?$/);
const code = matching(/^[A-Za-z]{1,60}$/);
const revised = { revisions: list(id) };

const at = { x: number, y: number };
const seen = atLeast({ ...at, score: number });
const box = tuple(number, number, number, number);
const pick = atLeast({ box, timeS: number });
const points = mapOf(/^[a-z_]{1,60}$/, seen);

const frame = atLeast({
  timeS: number,
  horse: orNull(atLeast({ box, view: code, points })),
  people: list(box),
  handlerFeet: list(seen),
});
const similarity = atLeast({ a: number, b: number, tx: number, ty: number });
const step = atLeast(
  { timeS: number, toPrevious: similarity, inliers: number, features: number, ok: boolean },
  { sdPx: number, turns: list(similarity), bend: atLeast({ value: number, sd: number }) },
);

const clipInfo = atLeast({
  ...{ name: text(NOTE), sizeBytes: number, container: text(LINE), codec: text(LINE) },
  ...{ widthPx: number, heightPx: number, rotationDeg: one(0, 90, 180, 270) },
  ...{ startS: number, durationS: number, meanFps: number, decoder: text(LINE) },
});

const timed = { timeS: number, id: text(LINE, 1) };
// As other versions of the page may have written them: what they have besides stays.
const span = atLeast({ kind: one(...PASS_KINDS), startS: number, endS: number }, { direction: code });
const correction = either(
  atLeast({ kind: one('point'), ...timed, point: one(...POINT_NAMES), ...at }),
  atLeast({ kind: one('event'), ...timed, limb: one(...LIMBS), edge: one('on', 'off'), foundS: number }),
  atLeast({ kind: one('distance'), ...timed, from: atLeast(at), to: atLeast(at), distanceM: number }),
  atLeast({ kind: one('passes'), ...timed, spans: list(span) }),
);
const edit = either(
  atLeast({ do: one('undo', 'redo') }),
  atLeast({ do: one('remove'), id: text(LINE, 1) }),
  atLeast({ do: one('set'), correction }),
);

/** Measures and shares, by name, some in groups of groups. */
const measures: Check = (value, path) => mapOf(/^[A-Za-z]{1,60}$/, measure)(value, path);
const measure: Check = either(
  number,
  exactly({ reason: code }),
  exactly({ value: number, low: number, high: number, n: number, side: one('left', 'right', 'both') }),
  measures,
);
const pass = atLeast(
  { kind: one(...PASS_KINDS), startS: number, endS: number },
  { measures, inWithersHeights: measures, warnings: list(code), direction: one('left', 'right') },
);
const resultFile = atLeast(
  {
    schema: one(RESULT_SCHEMA),
    clip: atLeast({ name: text(NOTE), durationS: number, withersM: orNull(number) }),
    passes: list(pass),
  },
  { reason: code, warnings: list(code) },
);

const editRecord = exactly({ fingerprint: key, seq: whole(1), id, edit });

const horse = exactly({
  ...{ id, ...revised, name: text(LINE, 1), birthDate: orNull(day), sex: orNull(one(...SEXES)) },
  ...{ breedType: text(LINE), note: text(NOTE) },
});
const height = exactly({
  ...{ id, ...revised, horseId: id, heightM: HEIGHT_M, date: day, how: one(...HEIGHT_METHODS) },
});
const visit = exactly({ id, ...revised, horseId: id, date: day, place: text(NOTE) });
const clip = exactly(
  {
    ...{ fingerprint: sha256, ...revised, name: text(NOTE), sizeBytes: whole(0) },
    ...{ withersM: orNull(number), info: orNull(clipInfo), visitId: orNull(id) },
  },
  { pick: orNull(pick), picks: list(pick) },
);
const REVISED = { horses: horse, heights: height, visits: visit, clips: clip };

const conflictOf = (table: string, theirs: Check): Check =>
  exactly({ id: text(2 * NOTE, 1), key: text(NOTE, 1), open: boolean, table: one(table), theirs });

/** By table. */
export const RECORD_SHAPES = {
  ...REVISED,
  edits: editRecord,
  results: exactly({
    ...{ id: sha256, clipId: sha256, key, madeAt: moment, toolVersion: text(LINE) },
    ...{ networkVersion: text(LINE), observationVersion: orNull(number), edits: whole(0), file: resultFile },
  }),
  runs: exactly(
    {
      ...{ fingerprint: key, run: whole(1), id, startedAt: orNull(moment), complete: boolean },
      networkVersion: text(LINE),
    },
    { observationVersion: number, ending: orNull(atLeast({ complete: boolean, lastS: orNull(number) })) },
  ),
  chunks: exactly({
    fingerprint: key,
    run: whole(1),
    chunk: whole(0),
    frames: list(frame),
    motion: list(step),
  }),
  conflicts: either(
    ...Object.entries(REVISED).map(([table, shape]) => conflictOf(table, shape)),
    conflictOf('edits', list(editRecord)),
  ),
} as const satisfies Record<string, Check>;
