import type { PassKind } from '../../gait/passKinds.ts';
import type { Side } from '../../points.ts';

const ARROW = 'M0 -6.500 6 0H2v6.500h-4V0h-4z';

/** The picture of a kind, about the origin, 14 px high: an arrow that goes as the horse does, a loop for a turn, a bar for a stand. */
export function KindIcon({ kind, direction = 'right' }: { kind: PassKind; direction?: Side | undefined }) {
  switch (kind) {
    case 'away':
      return <path class="kind-icon" d={ARROW} />;
    case 'towards':
      return <path class="kind-icon" d={ARROW} transform="rotate(180)" />;
    case 'side':
      return <path class="kind-icon" d={ARROW} transform={`rotate(${direction === 'right' ? 90 : -90})`} />;
    case 'turn':
      return <path class="kind-icon open" d="M-4 6V-1a4 4 0 0 1 8 0V5M0.500 1.500 4 6 7.500 1.500" />;
    case 'stand':
      return <path class="kind-icon" d="M-5 -6h3.500V6H-5zM1.500 -6H5V6H1.500z" />;
  }
}

/** Patterns that tell the kinds apart without colour; `kind-pattern-…` are their names in the drawing. */
export function KindPatterns() {
  return (
    <defs>
      <KindPattern kind="stand" d="M3 3h1.500" />
      <KindPattern kind="away" d="M0 6 4 2 8 6" />
      <KindPattern kind="towards" d="M0 2 4 6 8 2" />
      <KindPattern kind="turn" d="M-2 2 2 -2M0 8 8 0M6 10 10 6" />
      <KindPattern kind="side" d="M0 4h8" />
    </defs>
  );
}

const KindPattern = ({ kind, d }: { kind: PassKind; d: string }) => (
  <pattern id={`kind-pattern-${kind}`} width="8" height="8" patternUnits="userSpaceOnUse">
    <path class="kind-pattern" d={d} />
  </pattern>
);
