import type { Side } from '../points.ts';

interface MarkProps {
  side: Side | null;
  byHand?: boolean;
}

/** The mark of a side, the same wherever a side is meant: disc = left, square in a ring = right. */
export function Mark({ side, byHand = false }: MarkProps) {
  return (
    <svg class={`mark ${side ?? 'middle'}`} viewBox="0 0 20 20" width="18" height="18" aria-hidden="true">
      {byHand && <circle cx="10" cy="10" r="8.5" class="ring dashed-ring" />}
      {side === 'left' && <circle cx="10" cy="10" r="6" />}
      {side === 'right' && <circle cx="10" cy="10" r="8" class="ring" />}
      {side === 'right' && <rect x="6" y="6" width="8" height="8" />}
      {side === null && <path d="M10 4.500 15.500 10 10 15.500 4.500 10z" />}
    </svg>
  );
}
