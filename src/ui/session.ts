import { type ReadonlySignal, type Signal, batch, computed, effect, signal } from '@preact/signals';
import type { HorsePick } from '../horse/schema.ts';
import type { Edit } from '../horse/edits.ts';
import type { PointName } from '../points.ts';
import type { AnalyseOptions, ClipReading, Engine, Progress } from './engine.ts';
import { type Finished, finishedNow, showAgain } from './finished.ts';
import { isFarFromLeg } from './farFromLeg.ts';
import { type Units, formatTyped } from './format.ts';
import { GroundMarks } from './groundMarks.ts';
import { HandEdits } from './handEdits.ts';
import { HorseChoice } from './horseChoice.ts';
import { mainMeasureNow } from './mainMeasure.ts';
import { loadPreferences, savePreferences } from './preferences.ts';
import type { Sample } from './samples.ts';
import { type Phase, ShownClip, revoke } from './shownClip.ts';
import { opening, passAt } from './shownPass.ts';
import { CourseEdits } from './strip/courseEdits.ts';
import { passName } from './strip/kinds.ts';
import { CorrectionTour } from './tour.ts';
import { WithersHeight } from './withersHeight.ts';
import { NOT_MOVED } from './words.ts';

export interface ReadOptions {
  /** The clip is this one of those that come with the page. */
  readonly sample?: Sample | null;
  /** The horse meant; null for the one found by itself; left out for the one meant at the last visit. */
  readonly pick?: HorsePick | null;
}

/** State of the page and what the user can do to it. Views read the signals and call the actions. */
export class Session extends ShownClip {
  readonly phase: Signal<Phase> = signal('empty');
  readonly progress: Signal<Progress | null> = signal(null);
  /** How the clip was read; null before. */
  readonly reading: Signal<ClipReading | null> = signal(null);
  readonly sample: Signal<Sample | null> = signal(null);
  readonly failure: Signal<string | null> = signal(null);
  /** What the user must know although it stops nothing. */
  readonly troubles: Signal<readonly string[]> = signal([]);
  /** Said aloud by screen readers, shown in a quiet line. */
  readonly notice: Signal<string> = signal('');
  /** What was said of an edit that looks like a slip; while it is shown, it is asked whether to take that back. */
  readonly #slip = signal('');
  readonly doubtful = computed(() => this.notice.value !== '' && this.notice.value === this.#slip.value);
  readonly units: Signal<Units>;
  readonly height: WithersHeight;
  readonly withersM: ReadonlySignal<number | null>;

  readonly engine: Promise<Engine>;
  readonly horseChoice: HorseChoice;
  readonly groundMarks: GroundMarks;
  readonly hand: HandEdits;
  readonly courseEdits: CourseEdits;
  readonly tour: CorrectionTour;
  #ready: Engine | null = null;
  #file: File | null = null;
  #clipId: string | null = null;
  #reading: AbortController | null = null;
  /** What was shown before another horse of the clip was chosen: Cancel comes back to it. */
  #before: Finished | null = null;

  constructor(engine: Promise<Engine>) {
    super();
    this.engine = engine;
    this.horseChoice = new HorseChoice(engine, (pick) => this.followHorse(pick));
    this.hand = new HandEdits(this.drawnTimeS, (edit, notice) => this.#afterEdit(edit, notice));
    this.courseEdits = new CourseEdits(this, this.hand);
    this.groundMarks = new GroundMarks(this.hand.corrections, (correction) =>
      this.hand.set(correction, 'Distance marked. Measures brought up to date.'),
    );
    this.tour = new CorrectionTour(this, this.hand.corrections, ({ timeS, point }) =>
      this.showPoint(timeS, point),
    );
    const { units, withersM } = loadPreferences();
    this.units = signal(units);
    this.height = new WithersHeight(withersM);
    this.withersM = this.height.inForceM;
    effect(() => this.#followPass());
    effect(() => savePreferences({ units: this.units.value, withersM: this.height.lastM.value }));
  }

  /** Takes what was dropped or chosen. */
  take(files: readonly File[]): void {
    const [file] = files;
    if (!file) return;
    if (this.phase.peek() === 'reading') {
      this.trouble('One clip at a time: cancel this one before you drop another.');
      return;
    }
    void this.read(file);
    if (files.length > 1) this.trouble(`One clip at a time: only “${file.name}” is read.`);
  }

  async read(file: File, { sample = null, pick }: ReadOptions = {}): Promise<void> {
    const heightM = this.withersM.peek();
    const again = file === this.#file;
    this.#reset('reading', sample);
    if (again) this.height.again(heightM);
    this.#file = file;
    const controller = new AbortController();
    this.#reading = controller;
    const current = () => this.#reading === controller;
    try {
      const engine = (this.#ready = await this.engine);
      const options = { ...this.#listeners(controller.signal, current), ...(pick !== undefined && { pick }) };
      const reading = await engine.analyse(file, options);
      if (!current()) return;
      // The engine measures the new reading from here on: there is no way back.
      revoke(this.#before?.video);
      this.#before = null;
      await this.#finish(engine, reading, current);
    } catch (cause) {
      if (current()) this.#fail(file, cause);
    }
  }

  #listeners(signal: AbortSignal, current: () => boolean): AnalyseOptions {
    return {
      signal,
      withersM: this.withersM.peek(),
      onProgress: (progress) => current() && (this.progress.value = progress),
      onHeight: (withersM) => current() && this.#useKept(withersM),
      onTrouble: (message) => current() && this.trouble(message),
      onFrames: (frames) => current() && (this.poses.value = [...this.poses.peek(), ...frames]),
      onVideo: (video) => {
        if (current()) this.showVideo(video, this.#before?.video);
        else URL.revokeObjectURL(video.url);
      },
      onClip: (clip, clipId) => {
        if (!current()) return;
        this.clip.value = clip;
        this.#clipId = clipId;
      },
    };
  }

  /** Reads the clip once more, following this horse; null: the one found by itself. */
  followHorse(pick: HorsePick | null): void {
    if (!this.#file) return;
    this.#before = finishedNow(this, this.#file, this.#clipId);
    void this.read(this.#file, { sample: this.sample.peek(), pick });
  }

  trouble(message: string): void {
    if (!this.troubles.peek().includes(message)) this.troubles.value = [...this.troubles.peek(), message];
  }

  /** Leaves the clip; where another horse of it was being read, for the one measured before. */
  cancel(): void {
    this.height.leave();
    if (!this.#comeBack()) this.#reset('empty');
  }

  /** Shows what was shown before; false where nothing was. */
  #comeBack(): boolean {
    const before = this.#before;
    if (!before) return false;
    batch(() => {
      this.#reset('done', before.sample);
      this.#file = before.file;
      this.#clipId = before.clipId;
      showAgain(this, before);
      this.#remeasure();
      this.showFrame(before.frame);
    });
    this.#before = null;
    return true;
  }

  setWithersM(withersM: number | null): void {
    const done = this.phase.peek() === 'done';
    this.height.type(withersM, { ahead: !done });
    this.notice.value = '';
    if (!done) return;
    this.#remeasure();
    this.#storeHeight();
  }

  #useKept(withersM: number): void {
    if (!this.height.useKept(withersM)) return;
    this.notice.value = `Height at the withers: ${formatTyped(withersM, this.units.peek())}, kept with this clip.`;
  }

  #storeHeight(): void {
    this.#ready?.keepHeight(this.withersM.peek()).catch((cause: unknown) => this.trouble(wordsOf(cause)));
  }

  /** The charts and measures are those of the measured pass that the frame lies in. */
  #followPass(): void {
    const course = this.course.value;
    const index = passAt(course, this.passIndex.peek(), this.timeS.value);
    const pass = course[index];
    if (index === this.passIndex.peek() || !pass || this.courseEdits.moving.peek()) return;
    this.passIndex.value = index;
    this.notice.value = `Now the measures are those of the pass “${passName(pass)}”.`;
  }

  /** Whether things in the picture can be moved by hand now; the user is told where they can't. */
  canMove(): boolean {
    if (this.waiting.peek()) this.notice.value = NOT_MOVED;
    return !this.waiting.peek();
  }

  override showFrame(index: number): void {
    this.horseChoice.close();
    super.showFrame(index);
  }

  /** Stops at the frame of this time, with this point in hand. */
  showPoint(timeS: number, point: PointName): void {
    this.playing.value = false;
    this.showTime(timeS);
    this.hand.point.value = point;
  }

  exportJson(): string | null {
    const [clip, track] = [this.clip.peek(), this.track.peek()];
    if (!clip || !track || !this.#ready) return null;
    const [course, passes] = [this.course.peek(), this.passes.peek()];
    const gait = { track, course, passes, corrections: this.hand.corrections.peek() };
    return this.#ready.exportJson(clip, gait, this.withersM.peek());
  }

  async #finish(engine: Engine, reading: ClipReading, current: () => boolean): Promise<void> {
    const kept = this.#clipId === null ? Promise.resolve([]) : engine.loadEdits(this.#clipId);
    const edits = await kept.catch((cause: unknown) => {
      if (current()) this.trouble(wordsOf(cause));
      return [];
    });
    if (!current()) return;
    if (this.height.settle()) this.#storeHeight();
    this.reading.value = reading;
    this.hand.begin(edits);
    this.showFrame(0); // The newest frame would choose the pass that it lies in.
    this.#remeasure();
    this.phase.value = 'done';
    this.choosePass(opening(this.course.peek()));
  }

  #fail(file: File, cause: unknown): void {
    const message = wordsOf(cause);
    if (this.#comeBack()) {
      this.trouble(message);
      return;
    }
    this.failure.value = message.includes(file.name) ? message : `${file.name}: ${message}`;
    this.phase.value = 'failed';
  }

  #afterEdit(edit: Edit, notice: string): void {
    const slip = isFarFromLeg(this.track.peek(), edit);
    this.#remeasure();
    this.notice.value = `${notice}${mainMeasureNow(this.measured.peek(), this.units.peek())}`;
    this.#slip.value = slip ? this.notice.peek() : '';
    if (this.#clipId === null) return;
    this.#ready?.appendEdit(this.#clipId, edit).catch((cause: unknown) => {
      this.trouble(`The correction counts, but could not be kept for the next visit. ${wordsOf(cause)}`);
    });
  }

  #remeasure(): void {
    const [engine, corrections, withersM] = [this.#ready, this.hand.corrections.peek(), this.withersM.peek()];
    if (!engine) return;
    const { track, course } = engine.remeasure(corrections, withersM);
    batch(() => {
      this.showMeasured(track, course);
      this.courseEdits.keepFound(corrections, course, (others) => engine.remeasure(others, withersM).course);
    });
  }

  #reset(phase: Phase, sample: Sample | null = null): void {
    this.#reading?.abort();
    this.#reading = this.#clipId = this.#file = null;
    this.horseChoice.close();
    this.groundMarks.close();
    this.tour.forget();
    this.courseEdits.forget();
    this.height.next(sample?.withersM ?? null);
    batch(() => {
      this.showVideo(null, this.#before?.video);
      this.phase.value = phase;
      this.progress.value =
        this.clip.value =
        this.track.value =
        this.failure.value =
        this.reading.value =
          null;
      this.hand.begin([]);
      this.poses.value = this.course.value = this.troubles.value = [];
      this.frame.value = this.passIndex.value = 0;
      this.playing.value = false;
      this.sample.value = sample;
      this.following.value = phase === 'reading';
      this.notice.value = this.#slip.value = '';
    });
  }
}

const wordsOf = (cause: unknown): string => (cause instanceof Error ? cause.message : String(cause));
