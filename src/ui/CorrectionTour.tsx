import { useEffect, useRef } from 'preact/hooks';
import type { LinePass, SidePass } from '../gait/types.ts';
import type { PointName } from '../points.ts';
import { useSession } from './context.ts';
import { mainMeasure } from './mainMeasure.ts';
import { focusHandle } from './player/dragging.ts';
import { type Tour, ahead } from './tour.ts';
import { tourDoneWords, tourOfferWords, tourReason, tourStepWords } from './words.ts';

/** Offers to go to the points that help most, and leads from one to the next. */
export function CorrectionTourBar({ pass }: { pass: SidePass | LinePass }) {
  const { tour: round } = useSession();
  const tour = round.tour.value;
  if (tour) return <Round tour={tour} pass={pass} />;
  const points = round.places.value.length;
  if (points === 0) return null;
  return (
    <section class="tour" aria-label="Points that help most">
      <p>{tourReason(pass)}</p>
      <button type="button" title="Begin ( n )" onClick={() => round.begin()}>
        {tourOfferWords(points)}
      </button>
    </section>
  );
}

function Round({ tour, pass }: { tour: Tour; pass: SidePass | LinePass }) {
  const { tour: round, units } = useSession();
  const close = useRef<HTMLButtonElement>(null);
  const { now, passed } = tour;
  const was = mainMeasure(tour.before, units.value).words;
  const { name, words: is } = mainMeasure(pass, units.value);
  const left = ahead(tour, round.places.value).length;
  useEffect(() => {
    if (now) takeUp(now.point);
    else close.current?.focus({ preventScroll: true });
  }, [now]);
  return (
    <section class="tour" aria-label="Points that help most">
      <p role="status">
        {now
          ? tourStepWords(now.point, passed.length + 1, passed.length + 1 + left)
          : tourDoneWords(passed.length)}
      </p>
      <p class="light figures">{was === is ? `${name}: ${is}.` : `${name} before: ${was}; now: ${is}.`}</p>
      {now && (
        <>
          <button type="button" class="main-button" title="Next point ( n )" onClick={() => round.next()}>
            {left > 0 ? 'Next point' : 'Finish'}
          </button>
          <button
            type="button"
            onClick={() => {
              round.showAgain();
              takeUp(now.point);
            }}
          >
            Back to it
          </button>
        </>
      )}
      <button type="button" ref={close} onClick={() => round.close()}>
        {now ? 'Stop' : 'Close'}
      </button>
    </section>
  );
}

/** The point is in hand as if it had been tapped: arrow keys move it. */
function takeUp(point: PointName): void {
  const stage = document.querySelector('.stage');
  if (!stage) return;
  stage.scrollIntoView({ block: 'nearest' });
  focusHandle(stage, point);
}
