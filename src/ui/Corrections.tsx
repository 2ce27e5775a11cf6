import { useSession } from './context.ts';
import type { Correction } from '../horse/edits.ts';
import { type Units, formatDistance, formatTime } from './format.ts';
import { LIMB_WORDS, pointWords } from './words.ts';

/** All that was put right by hand: each to be looked at and to be put back. */
export function Corrections() {
  const session = useSession();
  const units = session.units.value;
  const corrections = [...session.hand.corrections.value].sort((a, b) => a.timeS - b.timeS);
  if (corrections.length === 0) return null;
  return (
    <details class="corrections" aria-label="Corrections by hand">
      <summary>
        {corrections.length === 1 ? '1 correction' : `${corrections.length} corrections`} by hand
        {session.troubles.value.length === 0 && ', kept'}
      </summary>
      <ul>
        {corrections.map((correction) => (
          <li key={correction.id}>
            <button
              type="button"
              onClick={() => {
                if (correction.kind === 'point') session.showPoint(correction.timeS, correction.point);
                else {
                  session.playing.value = false;
                  session.showTime(correction.timeS);
                }
              }}
            >
              {inWords(correction, units)}, {formatTime(correction.timeS)}
            </button>
            <button
              type="button"
              aria-label={`Put back ${inWords(correction, units)}`}
              onClick={() => session.hand.clear(correction)}
            >
              Put back
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}

function inWords(correction: Correction, units: Units): string {
  if (correction.kind === 'point') return pointWords(correction.point);
  if (correction.kind === 'distance') {
    return `Known distance on the ground, ${formatDistance(correction.distanceM, units)}`;
  }
  if (correction.kind === 'passes') return 'Parts of the clip';
  return `${LIMB_WORDS[correction.limb]} ${correction.edge === 'on' ? 'lands' : 'leaves the ground'}`;
}
