import { render } from 'preact';
import './styles.css';
import { App } from './App.tsx';
import type { Engine } from './engine.ts';
import { Session } from './session.ts';

export function mount(engine: Promise<Engine>): Session {
  const session = new Session(engine);
  const root = document.getElementById('app');
  if (!root) throw new Error('The page has no element #app');
  // A clip dropped beside the drop zone must not replace the page.
  for (const type of ['dragover', 'drop']) window.addEventListener(type, (event) => event.preventDefault());
  render(<App session={session} />, root);
  return session;
}
