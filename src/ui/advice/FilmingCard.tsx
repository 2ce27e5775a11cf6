import { type Signal, useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { type CardPart, type FilmingCard as Card, filmingCard } from '../../advice/filmingCard.ts';
import { filmingPlanSvg } from '../../advice/filmingPlan.ts';
import type { OwnCard } from '../../advice/words.ts';
import { useSession } from '../context.ts';
import { DISTANCE, type Units, formatNumber, formatTyped, withUnit } from '../format.ts';

const HASH = '#filming-card';
/** Of a usual riding horse, m: where no height is given. */
const USUAL_WITHERS_M = 1.65;
/** From here on a length is paced out in whole metres or feet. */
const PACED_M = 2;

export function roughLength(lengthM: number, units: Units): string {
  const { unit, factor } = DISTANCE[units];
  return withUnit(formatNumber(lengthM * factor, lengthM < PACED_M ? 1 : 0), unit);
}

/** The card for the horse in hand, in the units of the page. */
export function useOwnCard(): Card & OwnCard & { readonly horse: string } {
  const { units, withersM } = useSession();
  const [unit, heightM] = [units.value, withersM.value];
  const format = (lengthM: number): string => roughLength(lengthM, unit);
  const height = formatTyped(heightM ?? USUAL_WITHERS_M, unit);
  const horse =
    heightM === null
      ? `For a horse of ${height} at the withers; type in the height of yours for its own card.`
      : `For a horse of ${height} at the withers.`;
  return { ...filmingCard(heightM ?? USUAL_WITHERS_M, format), format, horse };
}

export const FilmingCardLink = () => (
  <a class="card-link" href={HASH}>
    Filming card, to print
  </a>
);

/** What counts for a walk past, where a clip is about to be chosen. */
export function FilmingInShort() {
  const { parts, horse } = useOwnCard();
  return (
    <>
      <p class="hint">{horse}</p>
      <ul>
        {parts
          .filter((part) => part.of === 'all' || part.of === 'side')
          .flatMap(({ lines }) => lines.map((line) => <li key={line}>{line}</li>))}
      </ul>
      <FilmingCardLink />
    </>
  );
}

/** Shows the card in place of the page while the address asks for it: back leads to the page as it was left. */
export function WithFilmingCard({ children }: { children: ComponentChildren }) {
  const { isShown, leave } = useHash();
  return (
    <>
      <div hidden={isShown.value}>{children}</div>
      {isShown.value && <FilmingCard leave={leave} />}
    </>
  );
}

interface Address {
  readonly isShown: Signal<boolean>;
  readonly leave: () => void;
}

function useHash(): Address {
  const { playing } = useSession();
  const isShown = useSignal(location.hash === HASH);
  /** Where the page was left; null where the visit began with the card. */
  const left = useRef<{ readonly y: number; readonly focus: Element | null } | null>(null);
  useEffect(() => {
    const follow = () => {
      const asked = location.hash === HASH;
      if (asked === isShown.peek()) return;
      if (asked) {
        playing.value = false;
        left.current = { y: scrollY, focus: document.activeElement };
      }
      isShown.value = asked;
    };
    addEventListener('hashchange', follow);
    return () => removeEventListener('hashchange', follow);
  }, [isShown, playing]);
  const shown = isShown.value;
  useEffect(() => {
    if (shown) scrollTo(0, 0);
    else if (left.current) {
      scrollTo(0, left.current.y);
      if (left.current.focus instanceof HTMLElement) left.current.focus.focus({ preventScroll: true });
    }
  }, [shown]);
  const leave = () => {
    if (left.current) history.back();
    else location.hash = '';
  };
  return { isShown, leave };
}

function FilmingCard({ leave }: Pick<Address, 'leave'>) {
  const { numbers, parts, format, horse } = useOwnCard();
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus({ preventScroll: true }), []);
  useOwnKeys(leave);
  return (
    <article class="filming-card">
      <p class="card-buttons">
        <button type="button" class="main-button" onClick={() => print()}>
          Print
        </button>
        <button type="button" onClick={leave}>
          Back
        </button>
      </p>
      <h2 ref={heading} tabIndex={-1}>
        How to film a led horse
      </h2>
      <p>{horse}</p>
      <div class="card-parts">
        <div class="card-plan" dangerouslySetInnerHTML={{ __html: filmingPlanSvg(numbers, format) }} />
        {parts.map((part) => (
          <Part key={part.of} part={part} />
        ))}
      </div>
    </article>
  );
}

const Part = ({ part: { of, title, lines } }: { part: CardPart }) => (
  <section data-part={of}>
    <h3>{title}</h3>
    <ul>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  </section>
);

/** The keys of the page behind it are not those of the card. */
function useOwnKeys(leave: () => void): void {
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      event.stopImmediatePropagation();
      if (event.key === 'Escape') leave();
    };
    document.addEventListener('keydown', onKey, { capture: true });
    return () => document.removeEventListener('keydown', onKey, { capture: true });
  });
}
