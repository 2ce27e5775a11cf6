import { type ReadonlySignal, type Signal, computed, signal } from '@preact/signals';
import { LONGEST_TOUR, type TourPlace, correctionTour } from '../gait/tour.ts';
import type { LinePass, SidePass } from '../gait/types.ts';
import type { Correction } from '../horse/edits.ts';
import type { ShownClip } from './shownClip.ts';

type Shown = Pick<ShownClip, 'track' | 'measured' | 'passIndex'>;

/** A round of the points that help most, under way or done. */
export interface Tour {
  /** The pass as it was before the first point. */
  readonly before: SidePass | LinePass;
  /** Seen to: put right, or left as they are. */
  readonly passed: readonly TourPlace[];
  /** The point to look at; null once all are seen to. */
  readonly now: TourPlace | null;
}

/** Two places of one hoof nearer to each other than this lie in one stance, s. */
const SAME_STANCE_S = 0.3;

const isSame = (a: TourPlace, b: TourPlace): boolean =>
  a.limb === b.limb && Math.abs(a.timeS - b.timeS) < SAME_STANCE_S;

/** Of the places told now, those that were not yet shown. */
export const without = (places: readonly TourPlace[], shown: readonly TourPlace[]): readonly TourPlace[] =>
  places.filter((place) => !shown.some((one) => isSame(one, place)));

/** Points still to come after the one at hand. */
export const ahead = ({ passed, now }: Tour, places: readonly TourPlace[]): readonly TourPlace[] =>
  without(places, now ? [...passed, now] : passed).slice(
    0,
    Math.max(0, LONGEST_TOUR - passed.length - (now ? 1 : 0)),
  );

export const begun = (before: SidePass | LinePass, places: readonly TourPlace[]): Tour => ({
  before,
  passed: [],
  now: places[0] ?? null,
});

/** The point at hand is seen to. `places`: those told after what was put right so far. */
export const next = (tour: Tour, places: readonly TourPlace[]): Tour => ({
  ...tour,
  passed: tour.now ? [...tour.passed, tour.now] : tour.passed,
  now: tour.now ? (ahead(tour, places)[0] ?? null) : null,
});

/** The pass that a round is of. Once passes are set by hand its place in the course may be another's. */
interface Of {
  readonly passIndex: number;
  readonly kind: (SidePass | LinePass)['kind'] | undefined;
  readonly set: Correction | undefined;
}

const isOfSame = (a: Of, b: Of): boolean =>
  a.passIndex === b.passIndex && a.kind === b.kind && a.set === b.set;

/** Leads to the points that help most when put right. They are told anew after every correction. */
export class CorrectionTour {
  /** Null where none is under way in the pass that is shown. */
  readonly tour: ReadonlySignal<Tour | null>;
  /** Places that were not looked at in this pass. */
  readonly places: ReadonlySignal<readonly TourPlace[]>;
  readonly #told: ReadonlySignal<readonly TourPlace[]>;
  readonly #state: Signal<{ readonly tour: Tour; readonly of: Of } | null> = signal(null);
  readonly #of: ReadonlySignal<Of>;
  /** Looked at in earlier rounds. */
  readonly #looked: Signal<readonly TourPlace[]> = signal([]);
  readonly #shown: Shown;
  readonly #show: (place: TourPlace) => void;

  /** `show`: takes the user to a place. */
  constructor(
    shown: Shown,
    corrections: ReadonlySignal<readonly Correction[]>,
    show: (place: TourPlace) => void,
  ) {
    this.#shown = shown;
    this.#show = show;
    this.#told = computed(() => {
      const [track, pass] = [shown.track.value, shown.measured.value];
      const points = corrections.value.filter((c) => c.kind === 'point');
      return track && pass ? correctionTour(track, pass, points) : [];
    });
    this.places = computed(() => without(this.#told.value, this.#looked.value));
    this.#of = computed(() => ({
      passIndex: shown.passIndex.value,
      kind: shown.measured.value?.kind,
      set: corrections.value.find((c) => c.kind === 'passes'),
    }));
    this.tour = computed(() => {
      const state = this.#state.value;
      return state && isOfSame(state.of, this.#of.value) ? state.tour : null;
    });
  }

  begin(): void {
    const pass = this.#shown.measured.peek();
    if (pass && this.places.peek().length > 0) this.#go(begun(pass, this.places.peek()));
  }

  /** The next point; the first where no round is under way. */
  next(): void {
    const tour = this.tour.peek();
    if (!tour) this.begin();
    else if (tour.now) this.#go(next(tour, this.places.peek()));
  }

  /** Back to the point at hand. */
  showAgain(): void {
    const now = this.tour.peek()?.now;
    if (now) this.#show(now);
  }

  close(): void {
    const { passed = [], now = null } = this.tour.peek() ?? {};
    this.#looked.value = [...this.#looked.peek(), ...passed, ...(now ? [now] : [])];
    this.#state.value = null;
  }

  /** Of another clip, or of this one read again: nothing was looked at. */
  forget(): void {
    this.#state.value = null;
    this.#looked.value = [];
  }

  #go(tour: Tour): void {
    this.#state.value = { tour, of: this.#of.peek() };
    if (tour.now) this.#show(tour.now);
  }
}
