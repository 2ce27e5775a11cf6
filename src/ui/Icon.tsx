const SHAPES = {
  play: 'M7 4.5v15l12-7.5z',
  pause: 'M6.5 5h4v14h-4zM13.5 5h4v14h-4z',
  back: 'M16 5v14l-9.5-7zM4 5h2v14H4z',
  on: 'M8 5v14l9.5-7zM18 5h2v14h-2z',
  undo: 'M9 5 3.5 10 9 15v-3.5h5.5a3.5 3.5 0 0 1 0 7H8v2.5h6.5a6 6 0 0 0 0-12H9z',
  redo: 'M15 5l5.5 5-5.5 5v-3.5H9.500a3.500 3.500 0 0 0 0 7H16v2.500H9.500a6 6 0 0 1 0-12H15z',
  closer: 'M3 3h6v2H5v4H3zM15 3h6v6h-2V5h-4zM3 15h2v4h4v2H3zM19 15h2v6h-6v-2h4zM9 9h6v6H9z',
  left: 'M15 5v14l-8-7z',
  right: 'M9 5v14l8-7z',
  up: 'M5 15h14l-7-8z',
  down: 'M5 9h14l-7 8z',
} as const;

/** Decoration only: the control around it carries the name. */
export function Icon({ name }: { name: keyof typeof SHAPES }) {
  return (
    <svg class="icon" viewBox="0 0 24 24" width="22" height="22" aria-hidden="true" focusable="false">
      <path d={SHAPES[name]} fill="currentColor" />
    </svg>
  );
}
