import { useSignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import { Intake } from './Intake.tsx';
import { Reading } from './Reading.tsx';
import { WithFilmingCard } from './advice/FilmingCard.tsx';
import { SessionContext, useSession } from './context.ts';
import type { Session } from './session.ts';

export function App({ session }: { session: Session }) {
  const phase = session.phase.value;
  return (
    <SessionContext.Provider value={session}>
      <header class="page-header" data-phase={phase}>
        <h1>ledwalk</h1>
        <p>
          Measures the walk of a led horse from a phone clip: overtrack, stride, rhythm and head carriage.
          Your video goes nowhere: it stays on this machine.
        </p>
      </header>
      <WithFilmingCard>
        <main>
          {(phase === 'empty' || phase === 'failed') && <Intake />}
          {phase === 'reading' && <Reading />}
          <Troubles />
          {(phase === 'reading' || phase === 'done') && session.clip.value && <LazyResults />}
        </main>
      </WithFilmingCard>
    </SessionContext.Provider>
  );
}

function Troubles() {
  const { troubles } = useSession();
  if (troubles.value.length === 0) return null;
  return (
    <ul class="warnings" role="alert">
      {troubles.value.map((message) => (
        <li key={message}>{message}</li>
      ))}
    </ul>
  );
}

/** The player and the charts are fetched when a clip is there. */
function LazyResults() {
  const view = useSignal<ComponentType | null>(null);
  useEffect(() => {
    void import('./Results.tsx').then(({ Results }) => (view.value = Results));
  }, [view]);
  const View = view.value;
  return View ? <View /> : null;
}
