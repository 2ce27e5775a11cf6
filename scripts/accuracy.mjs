// npm run accuracy: the whole chain on a seeded set of drawn clips whose truth is known. The table goes to stdout.
// --triangles: only the triangles, which come after the 40 walks past otherwise; --samples: the sample clips; --clips 0,1: some only, also for several
// processes that share the work. --exact: exact points with noise through the core alone. --json FILE: rows as JSON.
// --seen DIR: keeps what was seen there; --from-seen DIR: measures it again, without clips or network.
import { writeFileSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { createServer } from 'vite';
import { ensureFfmpeg, ensurePackages, root } from './setup.mjs';

const { values } = parseArgs({
  options: {
    json: { type: 'string' },
    clips: { type: 'string' },
    'draw-only': { type: 'boolean', default: false },
    samples: { type: 'boolean', default: false },
    triangles: { type: 'boolean', default: false },
    seen: { type: 'string' },
    'from-seen': { type: 'string' },
    exact: { type: 'boolean', default: false },
  },
});
const say = (text) => process.stderr.write(`${text}\n`);
ensurePackages('stderr');
// Several processes must not bundle into one folder at the same time.
process.env.VITEST_POOL_ID ??= `accuracy-${values.clips ?? 'all'}`;
// Stays open: what is loaded loads more while it runs.
const server = await createServer({
  root,
  configFile: false,
  logLevel: 'error',
  server: { middlewareMode: true, hmr: false, watch: null },
  optimizeDeps: { noDiscovery: true },
});
const load = (name) => server.ssrLoadModule(`/tests/accuracy/${name}`);
const { benchSet, sampleSet } = await load('set.ts');
const { triangleSet } = await load('triangles.ts');
const { figures } = await load('figures.ts');
const chosen = values.clips ? values.clips.split(',').map(Number) : null;
const past = values.triangles ? [] : benchSet();
const all = values.samples ? sampleSet() : [...past, ...triangleSet()];
const clips = all.filter((_, i) => !chosen || chosen.includes(i));

/** Samples of drawn clips through the whole chain, or of their exact points with noise through the core alone. */
async function samples() {
  if (values.exact) return (await load('exact.ts')).measureExactly(clips);
  if (values['from-seen']) return (await load('kept.ts')).measureKept(values['from-seen'], clips, say);
  const { drawClips, measureClips } = await load('run.ts');
  const { launchChromium } = await import('./chromium.mjs');
  const programs = { root, browser: () => launchChromium({ webgl: true }), ffmpeg: ensureFfmpeg() };
  await drawClips(programs, clips, say);
  return values['draw-only'] ? null : measureClips(clips, say, values.seen);
}

const found = await samples();
if (found) {
  const rows = figures(found);
  const number = (x, digits = 2) => (x === null ? '-' : x.toFixed(digits));
  const cells = rows.map((r) => [
    ...[r.measure, r.group, String(r.n), `${number(r.bias)} ${r.unit}`, number(r.rms), number(r.p95)],
    ...[r.coverage, r.coverageDrawn].map((share) => (share === null ? '-' : `${(100 * share).toFixed(0)} %`)),
    r.failed === 0
      ? ''
      : `${r.failed} not given: ${Object.entries(r.reasons)
          .map(([why, n]) => `${why} ${n}`)
          .join(', ')}`,
  ]);
  const head = ['measure', 'clips', 'n', 'bias', 'RMS', '95 %', 'held', 'held, drawn', ''];
  const widths = head.map((h, k) => Math.max(h.length, ...cells.map((row) => row[k].length)));
  for (const row of [head, ...cells])
    process.stdout.write(
      `${row
        .map((cell, k) => cell.padEnd(widths[k]))
        .join('  ')
        .trimEnd()}\n`,
    );
  if (values.json) writeFileSync(values.json, JSON.stringify(rows));
}
process.exit();
