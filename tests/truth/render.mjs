// node tests/truth/render.mjs [name ...]               draws the clips of plans.ts to sample-clips/
// node tests/truth/render.mjs --look 10,150 --out STEM name   draws a few pictures of one clip only
import { parseArgs } from 'node:util';
import { runnerImport } from 'vite';
import { launchChromium } from '../../scripts/chromium.mjs';
import { ensureFfmpeg, root } from '../../scripts/setup.mjs';

const load = async (name) =>
  (await runnerImport(`${root}/tests/truth/${name}`, { root, configFile: false })).module;
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: { look: { type: 'string' }, out: { type: 'string' } },
});
const { CLIPS } = await load('plans.ts');
const { openStudio } = await load('make.ts');
const studio = await openStudio({
  root,
  browser: () => launchChromium({ webgl: true }),
  ffmpeg: ensureFfmpeg(),
});
for (const name of positionals.length > 0 ? positionals : Object.keys(CLIPS)) {
  const plan = CLIPS[name];
  if (!plan) throw new Error(`no such clip: ${name}; there are ${Object.keys(CLIPS).join(', ')}`);
  if (values.look) await studio.look(plan, values.look.split(',').map(Number), values.out ?? name);
  else await studio.make(plan, values.out ?? `${root}/sample-clips/${name}`);
}
await studio.close();
