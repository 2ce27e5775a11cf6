// npm run pictures -- --count N --seed S --out DIR: seeded pictures of drawn led horses with labels, for training.
import { parseArgs } from 'node:util';
import { runnerImport } from 'vite';
import { launchChromium } from './chromium.mjs';
import { ensurePackages, root } from './setup.mjs';

const { values } = parseArgs({
  options: {
    count: { type: 'string', default: '300' },
    seed: { type: 'string', default: '0' },
    out: { type: 'string' },
    size: { type: 'string', default: '352' },
    pages: { type: 'string', default: '2' },
  },
});
const [count, seed, size, pages] = [values.count, values.seed, values.size, values.pages].map(Number);
if (!values.out || ![count, seed, size, pages].every(Number.isInteger)) {
  process.stderr.write('npm run pictures -- --count N --seed S --out DIR [--size 352] [--pages 2]\n');
  process.exit(2);
}
ensurePackages('stderr');
const { module } = await runnerImport(`${root}/tests/truth/pictures/make.ts`, { root, configFile: false });
const say = (text) => process.stderr.write(`${text}\n`);
await module.makePictures(
  { root, browser: () => launchChromium({ webgl: true }), count, seed, size, pages },
  values.out,
  say,
);
