import { type ReadonlySignal, type Signal, effect, signal } from '@preact/signals';
import { measuredPasses, passCoaching } from '../../advice/coaching.ts';
import { type UsualHandler, usualHandler } from '../../advice/leading.ts';
import type { Moment } from '../../advice/moments.ts';
import { type Finding, takeCheck } from '../../advice/takeCheck.ts';
import { heightOf, type CoursePass } from '../../gait/index.ts';
import type { Correction } from '../../horse/edits.ts';
import { gaitOptions } from '../../horse/gaitOptions.ts';
import type { ShownClip } from '../shownClip.ts';

/** What is said of the leading and the filming of a clip. */
export interface Given {
  /** The passes that it is said of; `pass` of moments and findings is a place in this list. */
  readonly course: readonly CoursePass[];
  readonly moments: readonly Moment[];
  readonly findings: readonly Finding[];
  /** Where the handler usually walks in each pass. */
  readonly handlers: readonly (UsualHandler | null)[];
}

type Shown = Pick<ShownClip, 'track' | 'course' | 'passes' | 'poses'> & {
  readonly hand: { readonly corrections: ReadonlySignal<readonly Correction[]> };
  readonly withersM: ReadonlySignal<number | null>;
};

/** It takes 20 - 140 ms a pass: too long after each of several edits in quick succession. */
const SETTLED_MS = 400;

/** Looks at the passes once the measures have settled, one at a time, while nothing else is to be done. */
export class Advice {
  /** Null before anything was looked at; that of the measures before until it is looked at anew. */
  readonly given: Signal<Given | null> = signal(null);
  readonly #shown: Shown;

  constructor(shown: Shown) {
    this.#shown = shown;
    effect(() => this.#follow(shown.course.value));
  }

  #follow(course: readonly CoursePass[]): () => void {
    if (course.length !== this.given.peek()?.course.length) this.given.value = null;
    let isNow = course.length > 0;
    const timer = setTimeout(() => void this.#look(course, () => isNow), SETTLED_MS);
    return () => {
      isNow = false;
      clearTimeout(timer);
    };
  }

  async #look(course: readonly CoursePass[], isNow: () => boolean): Promise<void> {
    const { poses, passes, hand, withersM } = this.#shown;
    const track = this.#shown.track.peek();
    if (!track || !isNow()) return;
    const options = gaitOptions(hand.corrections.peek(), withersM.peek());
    const { withersM: knownM } = heightOf(passes.peek(), options);
    const frames = poses.peek().filter(({ repeated }) => !repeated);
    const [moments, findings]: [Moment[], Finding[]] = [[], []];
    const handlers: (UsualHandler | null)[] = [];
    for (const [k, one] of course.entries()) {
      await idle();
      if (!isNow()) return;
      const own = one.kind === 'side' ? options : { ...options, withersM: knownM };
      const asOfClip = <T>(of: readonly T[]) => of.map((each) => ({ ...each, pass: k }));
      moments.push(...asOfClip(passCoaching(frames, track, one)));
      handlers.push(usualHandler(frames, track, one));
      findings.push(...asOfClip(takeCheck(track, measuredPasses([one]), own)));
    }
    this.given.value = { course, moments, findings, handlers };
  }
}

/** Not every browser tells when it is idle. */
const idle = (): Promise<void> =>
  new Promise((done) => {
    if ('requestIdleCallback' in globalThis) requestIdleCallback(() => done(), { timeout: 1000 });
    else setTimeout(done, 0);
  });

const advices = new WeakMap<Shown, Advice>();

/** That of a page: what shows it shares it. */
export function adviceOf(shown: Shown): Advice {
  const advice = advices.get(shown) ?? new Advice(shown);
  advices.set(shown, advice);
  return advice;
}
