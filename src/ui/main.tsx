import { mount } from './mount.tsx';
import type { Engine } from './engine.ts';

const [load] = Object.values(import.meta.glob<{ engine: Engine }>('../engine.ts'));

async function loadEngine(): Promise<Engine> {
  if (!load) throw new Error('This build of the page has no part that measures');
  return (await load()).engine;
}

mount(loadEngine());
