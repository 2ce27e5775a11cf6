import { Icon } from '../Icon.tsx';

const ARROWS: Record<string, readonly [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** How far an arrow key moves what is in focus, picture px; null for other keys. The key then has no other use. */
export function arrowStep(event: KeyboardEvent): { readonly dx: number; readonly dy: number } | null {
  const arrow = ARROWS[event.key];
  if (!arrow) return null;
  event.preventDefault();
  const px = event.shiftKey ? 5 : 1;
  return { dx: arrow[0] * px, dy: arrow[1] * px };
}

const NUDGES = [
  ['left', -1, 0],
  ['up', 0, -1],
  ['down', 0, 1],
  ['right', 1, 0],
] as const;

interface NudgesProps {
  /** What is moved. */
  name: string;
  onNudge: (dx: number, dy: number) => void;
}

/** Four buttons that move something by single px. */
export function Nudges({ name, onNudge }: NudgesProps) {
  return (
    <span class="nudges" role="group" aria-label={`Move ${name} by one dot of the picture`}>
      {NUDGES.map(([way, dx, dy]) => (
        <button key={way} type="button" aria-label={way} onClick={() => onNudge(dx, dy)}>
          <Icon name={way} />
        </button>
      ))}
    </span>
  );
}
