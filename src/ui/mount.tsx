import { render } from 'preact';
import './styles/base.css';
import './styles/intake.css';
import './styles/results.css';
import './styles/player.css';
import './styles/strip.css';
import './styles/marks.css';
import './styles/charts.css';
import './styles/measures.css';
import './styles/advice.css';
import { App } from './App.tsx';
import type { Engine } from './engine.ts';
import { Session } from './session.ts';

export function mount(engine: Promise<Engine>): Session {
  const session = new Session(engine);
  const root = document.getElementById('app');
  if (!root) throw new Error('The page has no element #app');
  // A clip may be dropped anywhere; the browser must not show it in place of the page.
  window.addEventListener('dragover', (event) => event.preventDefault());
  window.addEventListener('drop', (event) => {
    event.preventDefault();
    session.take([...(event.dataTransfer?.files ?? [])]);
  });
  render(<App session={session} />, root);
  return session;
}
