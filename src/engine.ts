/** The page's engine: the pipeline, with what was seen and corrected kept in this browser. */
import { analyseFile, horsesIn, playableCopy, type Analysis } from './analysis.ts';
import { fingerprint } from './clip/fingerprint.ts';
import { isPlayable } from './clip/playable.ts';
import type { ClipInfo } from './clip/types.ts';
import type { ClipRecord, HorsePick } from './horse/schema.ts';
import { openStore, type Store } from './horse/store.ts';
import { measure, type Observed } from './pipeline.ts';
import { Pace, Recorder } from './recorder.ts';
import { resultFile } from './report/contract.ts';
import type { AnalyseOptions, ClipReading, Engine, PlayableVideo } from './ui/engine.ts';

/** Opened at the first need. Where the browser keeps nothing (a private window), the page works without. */
let opened: Promise<Store> | null = null;
const store = (): Promise<Store> => (opened ??= openStore());

/** The clip read last. */
let last: { readonly seen: Observed; readonly record: ClipRecord } | null = null;

/** Null where the store fails; the user is told. */
const kept = <T>(work: Promise<T>, { onTrouble }: AnalyseOptions): Promise<T | null> =>
  work.catch((cause: unknown) => {
    onTrouble(cause instanceof Error ? cause.message : String(cause));
    return null;
  });

/** Another horse of the same clip has points and corrections of its own. */
const keyOf = (clipId: string, pick: HorsePick | null): string =>
  pick ? `${clipId}@${pick.timeS.toFixed(3)}:${pick.box.map(Math.round).join()}` : clipId;

interface Before {
  readonly seen: Observed;
  readonly networkVersion: string;
}

/** What the network says depends on its version only, so what it once said of a clip is used again. */
async function seenBefore(key: string, record: ClipRecord | null): Promise<Before | null> {
  if (!record?.info) return null;
  const observations = await (await store()).loadObservations(key);
  if (!observations?.complete || observations.networkVersion !== (await shippedVersion())) return null;
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
  // A file that can't be read is told of by its reader.
  const clipId = await fingerprint(file).catch(() => '');
  const record = await kept(
    store().then((s) => s.getClip(clipId)),
    options,
  );
  if (record && record.withersM !== null) options.onHeight(record.withersM);
  const pick = options.pick === undefined ? (record?.pick ?? null) : options.pick;
  const clip = { clipId, pick, withersM: record?.withersM ?? options.withersM };
  const before = await seenBefore(keyOf(clipId, pick), record).catch(() => null);
  return before ? shownAgain(file, before, clip, options) : read(file, clip, options);
}

interface Clip {
  readonly clipId: string;
  readonly pick: HorsePick | null;
  readonly withersM: number | null;
}

const recordOf = (info: ClipInfo, { clipId, pick, withersM }: Clip): ClipRecord => ({
  fingerprint: clipId,
  name: info.name,
  sizeBytes: info.sizeBytes,
  withersM,
  info,
  pick,
});

async function remember(seen: Observed, clip: Clip, options: AnalyseOptions): Promise<void> {
  options.signal.throwIfAborted();
  last = { seen, record: recordOf(seen.clip, clip) };
  const { record } = last;
  await kept(
    store().then((s) => s.putClip(record)),
    options,
  );
}

const asVideo = (blob: Blob): PlayableVideo => ({ url: URL.createObjectURL(blob), offsetS: 0 });

async function shownAgain(
  file: File,
  { seen, networkVersion }: Before,
  clip: Clip,
  options: AnalyseOptions,
): Promise<ClipReading> {
  const info = { ...seen.clip, name: file.name };
  options.onClip(info, keyOf(clip.clipId, clip.pick));
  options.onFrames(seen.frames);
  const pace = new Pace(info);
  const onTime = (timeS: number) =>
    options.onProgress(pace.progress('Making a copy that this browser can play', timeS));
  const shown = isPlayable(info) ? file : await playableCopy(file, options.signal, onTime);
  if (shown) options.onVideo(asVideo(shown));
  await remember({ ...seen, clip: info }, clip, options);
  return readingOf(seen, networkVersion, null, clip.pick);
}

async function read(file: File, clip: Clip, options: AnalyseOptions): Promise<ClipReading> {
  let recorder: Recorder | null = null;
  const analysis: Analysis = await analyseFile(file, {
    signal: options.signal,
    proxy: true,
    pick: clip.pick,
    onOpened(info) {
      options.onClip(info, keyOf(clip.clipId, clip.pick));
      if (isPlayable(info)) options.onVideo(asVideo(file));
      const stage = 'Loading what finds the horse';
      options.onProgress({ stage, doneS: 0, durationS: null, secondsLeft: null });
    },
    onClip(info, { version }) {
      recorder = new Recorder(info, options, store());
      recorder.keep(keyOf(clip.clipId, clip.pick), version);
    },
    onFrame: (pose, step) => recorder?.add(pose, step),
  });
  const { seen, proxy, network } = analysis;
  await (recorder as Recorder | null)?.complete(seen.ending);
  if (proxy) options.onVideo(asVideo(proxy));
  await remember(seen, clip, options);
  return readingOf(seen, network.version, network.backend, clip.pick);
}

const readingOf = (
  seen: Observed,
  networkVersion: string,
  backend: string | null,
  pick: HorsePick | null,
): ClipReading => ({
  damage: seen.ending?.message ?? null,
  networkVersion,
  backend,
  frames: seen.frames.length,
  pick,
});

async function keepHeight(withersM: number | null): Promise<void> {
  if (!last) return;
  last = { ...last, record: { ...last.record, withersM } };
  await (await store()).putClip(last.record);
}

function remeasure(...[corrections, withersM]: Parameters<Engine['remeasure']>) {
  if (!last) throw new Error('No clip has been read');
  return measure(last.seen, corrections, withersM);
}

export const engine: Engine = {
  sample: { url: 'samples/side-pass.mp4', fileName: 'side-pass.mp4' },
  analyse,
  remeasure,
  findHorses: horsesIn,
  loadEdits: async (clipId) => (await store()).loadEdits(clipId),
  appendEdit: async (clipId, edit) => (await store()).appendEdit(clipId, edit),
  keepHeight,
  exportJson: (_clip, gait, withersM) =>
    last ? JSON.stringify(resultFile(last.seen, gait, withersM), null, 2) : '',
};
