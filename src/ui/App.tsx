import { useSignal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { useEffect } from 'preact/hooks';
import { Intake } from './Intake.tsx';
import { Reading } from './Reading.tsx';
import { SessionContext } from './context.ts';
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
      <main>
        {(phase === 'empty' || phase === 'failed') && <Intake />}
        {phase === 'reading' && <Reading />}
        {(phase === 'reading' || phase === 'done') && session.clip.value && <LazyResults />}
      </main>
    </SessionContext.Provider>
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
