import { useSession } from './context.ts';
import { formatLeft } from './format.ts';

/** How far the reading of the clip has come, and the way out of it. */
export function Reading() {
  const session = useSession();
  const progress = session.progress.value;
  const share = progress?.durationS ? Math.min(progress.doneS / progress.durationS, 1) : null;
  return (
    <section class="reading" aria-label="Reading the clip">
      <p>
        <strong>{progress?.stage ?? 'Opening the clip'}</strong>
        {progress?.durationS != null && (
          <span class="figures">
            {' '}
            {progress.doneS.toFixed(1)} of {progress.durationS.toFixed(1)} s
          </span>
        )}
        {progress?.secondsLeft != null && <span class="figures">, {formatLeft(progress.secondsLeft)}</span>}
      </p>
      <div class="reading-row">
        <progress
          aria-label="Share of the clip that was read"
          {...(share !== null && { value: share })}
          max={1}
        />
        <button type="button" onClick={() => session.cancel()}>
          Cancel
        </button>
      </div>
    </section>
  );
}
