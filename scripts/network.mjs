// npm run network: how well the keypoint network sees, and what its scores are worth. Tables go to stdout.
// --network DIR: another one than the shipped; --parts typed,walk,drawn: some only; --json FILE: all of it as JSON;
// --calibration FILE: what scores are worth, as src/pose/reliability.ts reads it.
import { writeFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { createServer } from 'vite';
import { ensurePackages, root } from './setup.mjs';

const { values } = parseArgs({
  options: {
    network: { type: 'string', default: `${root}/models/horse-keypoints` },
    parts: { type: 'string' },
    json: { type: 'string' },
    calibration: { type: 'string' },
  },
});
const say = (text) => process.stderr.write(`${text}\n`);
// What is skipped is said there too: stdout holds the tables.
console.log = say;
ensurePackages('stderr');
// Stays open: what is loaded loads more while it runs.
const server = await createServer({
  root,
  configFile: false,
  logLevel: 'error',
  server: { middlewareMode: true, hmr: false, watch: null, ws: false },
  optimizeDeps: { noDiscovery: true },
});
const { measureNetwork, PARTS } = await server.ssrLoadModule('/tests/pose/evaluation/run.ts');
const parts = values.parts?.split(',') ?? PARTS;
if (!parts.every((part) => PARTS.includes(part))) {
  say(`--parts takes some of ${PARTS.join(',')}`);
  process.exit(2);
}

function print(head, cells) {
  const widths = head.map((h, k) => Math.max(h.length, ...cells.map((row) => row[k].length)));
  for (const row of [head, ...cells]) {
    const line = row.map((cell, k) => cell.padEnd(widths[k])).join('  ');
    process.stdout.write(`${line.trimEnd()}\n`);
  }
  process.stdout.write('\n');
}

/** 68.1 (60 - 75). */
function shown(figure, digits) {
  if (!figure) return '-';
  const interval =
    figure.low === null ? '' : ` (${figure.low.toFixed(digits)} - ${figure.high.toFixed(digits)})`;
  return `${figure.value.toFixed(digits + (digits === 0 ? 1 : 0))}${interval}`;
}

function printRows(rows) {
  const cells = rows.map((r) => {
    const digits = r.figure === 'median' ? 2 : 0;
    const bar = r.atLeast !== undefined ? `>= ${r.atLeast}` : r.atMost !== undefined ? `<= ${r.atMost}` : '';
    const verdict = r.met === null ? '' : r.met ? 'met' : 'missed';
    const size = [String(r.found?.n ?? 0), String(r.found?.horses ?? 0)];
    return [r.set, r.of, r.figure, shown(r.found, digits), shown(r.seen, digits), bar, verdict, ...size];
  });
  print(['pictures', 'of', 'figure', 'all labelled', 'labelled as seen', 'bar', '', 'n', 'horses'], cells);
}

const WAYS = {
  once: 'one look, as at a frame of a clip',
  bothWays: 'with the mirror image, as at a single picture',
};

function printReliability({ way, losses, table, groups }) {
  process.stdout.write(
    `Scores, ${WAYS[way]}. Log loss, each horse foretold by the others: ` +
      `logistic ${losses.logistic.toFixed(3)}, isotonic ${losses.isotonic.toFixed(3)}, ` +
      `standard error of the difference ${losses.standardError.toFixed(3)}.\n`,
  );
  const cells = table.map((bin) => [
    ...[bin.group, `${bin.from} - ${bin.to}`, shown(bin.within, 0), bin.foretold.toFixed(0)],
    ...[bin.meanScore.toFixed(2), String(bin.within.n), String(bin.within.horses)],
  ]);
  print(['points', 'score', '% within 2 % of H', 'foretold', 'mean score', 'n', 'horses'], cells);
  const fits = Object.entries(groups).map(([group, g]) => [
    ...[
      group,
      g.intercept.toFixed(2),
      g.slope.toFixed(2),
      g.sigmaPercentH.toFixed(2),
      g.sigmaSlope.toFixed(1),
    ],
    ...[`${(100 * g.astray).toFixed(1)} %`, g.scores.join(' - ')],
  ]);
  print(['points', 'intercept', 'slope', 'sigma at 1, % H', 'its slope', 'astray', 'scores seen'], fits);
}

const report = await measureNetwork(resolve(values.network), parts, say);
process.stdout.write(
  `Keypoint network ${report.version}. Errors in % of the height at the withers; 95 % intervals.\n\n`,
);
printRows(report.rows);
if (report.rows.some(({ set }) => set.startsWith('walk')))
  process.stdout.write(
    'Against another network: its points, filtered and shifted by what typed labels of other horses lie from them,\n' +
      'themselves off by 1 - 2 % and, the hooves, by more while these are turned in the air. A second opinion, no truth.\n\n',
  );
if (report.rows.some(({ set }) => set.includes('TRAINED ON')))
  process.stdout.write(
    'TRAINED ON: the network has seen these very pictures and labels; no bar is shown to be met.\n\n',
  );
report.reliability.forEach(printReliability);
if (values.json) writeFileSync(values.json, JSON.stringify(report));
if (values.calibration) {
  const ways = Object.fromEntries(report.reliability.map(({ way, groups }) => [way, groups]));
  writeFileSync(values.calibration, `${JSON.stringify({ network: report.version, ways }, null, 2)}\n`);
}
process.exit();
