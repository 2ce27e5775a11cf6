import { mount } from './mount.tsx';

// What measures is loaded after the page shows.
mount(import('../engine.ts').then(({ engine }) => engine));
