import { type ReadonlySignal, type Signal, batch, computed, signal } from '@preact/signals';
import type { ClipInfo } from '../clip/types.ts';
import type { CoursePass } from '../gait/index.ts';
import type { PoseFrame } from '../pose/types.ts';
import { nearestIndex } from '../track/times.ts';
import type { Track } from '../track/types.ts';
import type { PlayableVideo } from './engine.ts';
import { frameOfPicture } from './frameTimes.ts';
import { againIn, firstShownS, measuredOf, nearestIn, passAt, sidePassesOf } from './shownPass.ts';

export type Phase = 'empty' | 'reading' | 'done' | 'failed';

/** The clip on the page, what was found in it so far, and which of its frames is shown. */
export class ShownClip {
  readonly clip: Signal<ClipInfo | null> = signal(null);
  readonly video: Signal<PlayableVideo | null> = signal(null);
  readonly poses: Signal<readonly PoseFrame[]> = signal([]);
  readonly track: Signal<Track | null> = signal(null);
  /** Passes of all kinds, and the side passes among them that were measured. */
  readonly course: Signal<readonly CoursePass[]> = signal([]);
  readonly passes = computed(() => sidePassesOf(this.course.value));
  /** Of the chosen pass in the course; -1 where a part of the clip is chosen that is none. */
  readonly passIndex = signal(0);
  readonly chosen = computed(() => this.course.value[this.passIndex.value] ?? null);
  /** What was measured of the chosen pass, and the same where that is one past the camera; null where nothing was. */
  readonly measured = computed(() => measuredOf(this.chosen.value));
  readonly pass = computed(() => (this.measured.value?.kind === 'side' ? this.measured.value : null));
  /** Whether anything of the clip was measured. */
  readonly anyMeasured = computed(() => this.course.value.some((one) => measuredOf(one)));
  /** Whether there is a horse to be measured at all. */
  readonly horseFound = computed(() => this.anyMeasured.value || this.poses.value.some((p) => p.horse));

  readonly timesS: ReadonlySignal<readonly number[]> = computed(
    () => this.track.value?.timesS ?? this.poses.value.map((pose) => pose.timeS),
  );
  /** The frame that is asked for. */
  readonly frame = signal(0);
  readonly timeS = computed(() => this.timesS.value[this.frame.value] ?? 0);
  /** Time in the clip of the picture that the video shows; null while it shows none. */
  readonly pictureS: Signal<number | null> = signal(null);
  /** The frame whose points are drawn: that of the picture, so that points are never laid over another one. */
  readonly drawnFrame: ReadonlySignal<number> = computed(() =>
    this.pictureS.value === null ? this.frame.value : frameOfPicture(this.timesS.value, this.pictureS.value),
  );
  readonly drawnTimeS = computed(() => this.timesS.value[this.drawnFrame.value] ?? 0);
  /** The picture asked for isn't shown yet: nothing can be put right by hand meanwhile. */
  readonly waiting: ReadonlySignal<boolean> = computed(() => this.drawnFrame.value !== this.frame.value);
  readonly playing = signal(false);
  /** While the clip is read: the newest frame is shown. */
  readonly following = signal(false);

  /** `timeS`: the moment to show, else the first of the pass of which something is measured; -1: a part of the clip that is no pass. */
  choosePass(index: number, timeS?: number): void {
    const one = this.course.peek()[index];
    batch(() => {
      this.passIndex.value = one ? index : -1;
      this.showTime(timeS ?? (one ? firstShownS(one) : this.timeS.peek()));
    });
  }

  /** What was measured anew; the pass that was shown stays so. */
  showMeasured(track: Track, course: readonly CoursePass[]): void {
    const before = { course: this.course.peek(), index: this.passIndex.peek() };
    const wasChosen = this.chosen.peek() !== null || before.index < 0;
    this.track.value = track;
    this.course.value = course;
    if (!wasChosen) return;
    const timeS = this.timeS.peek();
    const index = againIn(course, before, timeS);
    this.passIndex.value = index;
    const one = course[index];
    // The moment of a border on its way lies in the next pass once that is moved back.
    if (one && passAt(course, index, timeS) !== index) this.showTime(nearestIn(one, timeS));
  }

  showFrame(index: number): void {
    this.following.value = false;
    this.frame.value = Math.min(Math.max(index, 0), Math.max(this.timesS.peek().length - 1, 0));
  }

  showTime(timeS: number): void {
    this.showFrame(nearestIndex(this.timesS.peek(), timeS));
  }

  /** The video shown before is let go of, but for one that is to be shown again. */
  showVideo(video: PlayableVideo | null, kept: PlayableVideo | null = null): void {
    const before = this.video.peek();
    batch(() => {
      this.video.value = video;
      this.pictureS.value = null;
    });
    if (before !== kept) revoke(before);
  }
}

/** Lets go of what a video is played from, where that was made by the page. */
export function revoke(video: PlayableVideo | null | undefined): void {
  if (video?.url.startsWith('blob:')) URL.revokeObjectURL(video.url);
}
