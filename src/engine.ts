/** The page's engine: the pipeline, with what was seen and corrected kept in this browser. */
import { analyseFile, horsesIn, playableCopy, type Analysis } from './analysis.ts';
import { fingerprint } from './clip/fingerprint.ts';
import { isPlayable } from './clip/playable.ts';
import type { ClipInfo } from './clip/types.ts';
import type { Edit } from './horse/edits.ts';
import { isSeenIn, keyOf, picksOf, withPick } from './horse/picks.ts';
import type { ClipRecord, HorsePick } from './horse/schema.ts';
import { askToKeep, openStore, type Store } from './horse/store.ts';
import { OBSERVATION_VERSION } from './observation.ts';
import { measure, type Observed } from './pipeline.ts';
import type { RanOn } from './pose/running.ts';
import { Pace, Recorder } from './recorder.ts';
import { resultFile } from './report/contract.ts';
import type { AnalyseOptions, ClipReading, Engine, PlayableVideo } from './ui/engine.ts';
import { SAMPLES } from './ui/samples.ts';

/** Opened at the first need. Where the browser keeps nothing (a private window), the page works without. */
let opened: Promise<Store> | null = null;
function store(): Promise<Store> {
  opened ??= openStore().catch((cause: unknown) => {
    // What failed once may work the next time.
    opened = null;
    throw cause;
  });
  return opened;
}

/** The clip read last; no record where the clip can't be recognised at another visit. */
let last: { readonly seen: Observed; readonly record: ClipRecord | null } | null = null;

/** Null where the store fails; the user is told. */
const kept = <T>(work: Promise<T>, { onTrouble }: AnalyseOptions): Promise<T | null> =>
  work.catch((cause: unknown) => {
    onTrouble(cause instanceof Error ? cause.message : String(cause));
    return null;
  });

interface Before {
  readonly seen: Observed;
  readonly networkVersion: string;
}

/** What the same network and the same code saw of a clip once is used again. */
async function seenBefore(key: string | null, record: ClipRecord | null): Promise<Before | null> {
  if (key === null || !record?.info) return null;
  const observations = await (await store()).loadObservations(key);
  if (!observations?.complete || observations.observationVersion !== OBSERVATION_VERSION) return null;
  if (observations.networkVersion !== (await shippedVersion())) return null;
  const { frames, motion, ending, networkVersion } = observations;
  return { seen: { clip: record.info, frames, motion, ending }, networkVersion };
}

async function shippedVersion(): Promise<string | null> {
  const answer = await fetch(new URL('models/horse-keypoints/meta.json', document.baseURI)).catch(() => null);
  const meta = (await answer?.json().catch(() => null)) as { version?: string } | null;
  return meta?.version ?? null;
}

async function analyse(file: File, options: AnalyseOptions): Promise<ClipReading> {
  options.onProgress({ stage: 'Opening the clip', doneS: 0, durationS: null, secondsLeft: null });
  // Fails on pages without https; a file that can't be read is told of by its reader.
  const clipId = await fingerprint(file).catch(() => null);
  const record = clipId === null ? null : await kept(getClip(clipId), options);
  if (record && record.withersM !== null) options.onHeight(record.withersM);
  const clip: Clip = {
    ...(await chosen(clipId, record, options.pick).catch(() =>
      asChosen(clipId, record, options.pick ?? null),
    )),
    withersM: record?.withersM ?? options.withersM,
  };
  const before = await seenBefore(clip.key, record).catch(() => null);
  return before ? shownAgain(file, before, clip, options) : read(file, clip, options);
}

const getClip = async (clipId: string): Promise<ClipRecord | null> => (await store()).getClip(clipId);

interface Chosen {
  /** Null where the file's content could not be told from another's: then nothing is kept of it. */
  readonly clipId: string | null;
  /** Of its run and its corrections. */
  readonly key: string | null;
  readonly pick: HorsePick | null;
  /** All picks kept with the clip, this one first. */
  readonly picks: readonly HorsePick[];
  /** The kept pick of the same horse whose corrections are taken over. */
  readonly same: HorsePick | null;
}

interface Clip extends Chosen {
  readonly withersM: number | null;
}

const asChosen = (clipId: string | null, record: ClipRecord | null, pick: HorsePick | null): Chosen => ({
  clipId,
  key: clipId === null ? null : keyOf(clipId, pick),
  pick,
  picks: withPick(picksOf(record), pick),
  same: null,
});

/**
 * The horse meant. One that was chosen before, at another time, is known by where it was seen at the time of the new
 * choice; it is then followed as before. Choosing the horse that is followed already means to follow it from there on.
 */
async function chosen(
  clipId: string | null,
  record: ClipRecord | null,
  pick: HorsePick | null | undefined,
): Promise<Chosen> {
  if (pick === undefined) return asChosen(clipId, record, record?.pick ?? null);
  const now = asChosen(clipId, record, pick);
  if (clipId === null || !pick) return now;
  for (const before of picksOf(record)) {
    const key = keyOf(clipId, before);
    if (key === now.key) return now;
    const seen = await (await store()).loadObservations(key);
    if (!seen || !isSeenIn(pick, seen.frames)) continue;
    const followedNow = record?.pick && keyOf(clipId, record.pick) === key;
    return followedNow ? { ...now, same: before } : asChosen(clipId, record, before);
  }
  return now;
}

function recordOf(info: ClipInfo, { clipId, pick, picks, withersM }: Clip): ClipRecord | null {
  if (clipId === null) return null;
  return { fingerprint: clipId, name: info.name, sizeBytes: info.sizeBytes, withersM, info, pick, picks };
}

/** Last of all: a reading that is given up leaves the clip read before as it was, which is measured on. */
async function remember(seen: Observed, clip: Clip, options: AnalyseOptions): Promise<void> {
  options.signal.throwIfAborted();
  const record = recordOf(seen.clip, clip);
  await kept(keep(record), options);
  options.signal.throwIfAborted();
  last = { seen, record };
}

async function keep(record: ClipRecord | null): Promise<void> {
  if (record) await (await store()).putClip(record);
}

/** A horse that was chosen before has its corrections under a new choice of it too. */
async function takeOver(seen: Observed, { clipId, key, pick, picks, same }: Clip): Promise<void> {
  if (clipId === null || key === null || !pick) return;
  const from = same ?? picks.find((other) => other.timeS > pick.timeS && isSeenIn(other, seen.frames));
  if (from) await (await store()).copyEdits(keyOf(clipId, from), key);
}

const asVideo = (blob: Blob): PlayableVideo => ({ url: URL.createObjectURL(blob), offsetS: 0 });

async function shownAgain(
  file: File,
  { seen, networkVersion }: Before,
  clip: Clip,
  options: AnalyseOptions,
): Promise<ClipReading> {
  const info = { ...seen.clip, name: file.name };
  options.onClip(info, clip.key);
  options.onFrames(seen.frames);
  const pace = new Pace(info);
  const onTime = (timeS: number) =>
    options.onProgress(pace.progress('Making a copy that this browser can play', timeS));
  const shown = isPlayable(info)
    ? file
    : await playableCopy(file, options.signal, onTime, (message) => options.onTrouble(message));
  if (shown) options.onVideo(asVideo(shown));
  await remember({ ...seen, clip: info }, clip, options);
  return readingOf(seen, networkVersion, null, clip.pick);
}

/** Browsers compute the fingerprint of a file only for pages with https. */
const NOT_KEPT =
  'Without a secure connection (https) this browser can’t recognise a clip: corrections last only until the page is closed.';

async function read(file: File, clip: Clip, options: AnalyseOptions): Promise<ClipReading> {
  let recorder: Recorder | null = null;
  const analysis: Analysis = await analyseFile(file, {
    signal: options.signal,
    proxy: true,
    pick: clip.pick,
    onOpened(info) {
      options.onClip(info, clip.key);
      if (clip.key === null) options.onTrouble(NOT_KEPT);
      if (isPlayable(info)) options.onVideo(asVideo(file));
      const stage = 'Loading what finds the horse';
      options.onProgress({ stage, doneS: 0, durationS: null, secondsLeft: null });
    },
    onClip(info, { version }) {
      recorder = new Recorder(info, options);
      const by = { networkVersion: version, observationVersion: OBSERVATION_VERSION };
      if (clip.key !== null) recorder.keep(store(), clip.key, by);
    },
    onFrame: (pose, step) => recorder?.add(pose, step),
    onTrouble: (message) => options.onTrouble(message),
  });
  const { seen, proxy, network } = analysis;
  await (recorder as Recorder | null)?.complete(seen.ending);
  if (proxy) options.onVideo(asVideo(proxy));
  await kept(takeOver(seen, clip), options);
  await remember(seen, clip, options);
  return readingOf(seen, network.version, network, clip.pick);
}

const readingOf = (
  seen: Observed,
  networkVersion: string,
  ranOn: RanOn | null,
  pick: HorsePick | null,
): ClipReading => ({
  damage: seen.ending?.message ?? null,
  networkVersion,
  ranOn,
  frames: seen.frames.length,
  pick,
});

async function keepHeight(withersM: number | null): Promise<void> {
  if (!last?.record) return;
  const record = { ...last.record, withersM };
  last = { ...last, record };
  await keep(record);
}

let asked = false;

/** The browser is asked to keep what it stores only once there is work in it. */
async function appendEdit(clipId: string, edit: Edit): Promise<void> {
  await (await store()).appendEdit(clipId, edit);
  if (asked) return;
  asked = true;
  void askToKeep();
}

function remeasure(...[corrections, withersM]: Parameters<Engine['remeasure']>) {
  if (!last) throw new Error('No clip has been read');
  return measure(last.seen, corrections, withersM);
}

export const engine: Engine = {
  samples: SAMPLES,
  analyse,
  remeasure,
  findHorses: horsesIn,
  loadEdits: async (clipId) => (await store()).loadEdits(clipId),
  appendEdit,
  keepHeight,
  exportJson: (_clip, gait, withersM) =>
    last ? JSON.stringify(resultFile(last.seen, gait, withersM), null, 2) : '',
};
