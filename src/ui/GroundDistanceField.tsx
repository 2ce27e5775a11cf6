import { useSession } from './context.ts';
import { formatDistance } from './format.ts';
import { placeMarks } from './groundMarks.ts';

/** The second way to a scale, for who has no stick: offered, in the making, or in force. */
export function GroundDistanceField() {
  const session = useSession();
  const { open, known } = session.groundMarks;
  if (session.phase.value !== 'done' || !session.track.value) return null;
  if (open.value)
    return <p class="hint">Place the two flags in the picture and say how far apart they are.</p>;
  const now = known.value;
  if (now === null)
    return (
      <p class="ground-distance hint">
        No stick at hand?{' '}
        <button type="button" class="quiet-button" onClick={() => placeMarks(session)}>
          Mark a known distance on the ground
        </button>
      </p>
    );
  return (
    <p class="ground-distance hint">
      <span>Marked on the ground: {formatDistance(now.distanceM, session.units.value)}</span>
      <button type="button" aria-label="Change the marked distance" onClick={() => placeMarks(session)}>
        Change
      </button>
      <button type="button" aria-label="Remove the marked distance" onClick={() => session.hand.clear(now)}>
        Remove
      </button>
    </p>
  );
}
