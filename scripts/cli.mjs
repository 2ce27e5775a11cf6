// npm run analyse | keypoints | bench: the page's own code in a headless Chromium. Results go to stdout, all else to stderr.
import { accessSync, constants, existsSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { launchChromium } from './chromium.mjs';
import { ensurePackages, root, run } from './setup.mjs';

const USAGE = `usage:
  npm run analyse -- clip.mp4 [--withers-cm 162]
                     [--keypoints FILE]   writes every frame's points to FILE
                     [--ground-distance x0,y0,x1,y1,metres[,second]]   two marks on the ground, in pixels of the frame at that second
  npm run keypoints -- photo.jpg ...
  npm run bench -- [clip.mp4] [--json FILE]   writes the figures to FILE
exit: 0 done, also where no horse was found; 1 what was given could not be read (of several pictures: none);
      2 used wrongly, or there is no such file`;

const say = (text) => process.stderr.write(`${text}\n`);
/** The only thing on stdout: .npmrc keeps npm from printing its own lines there. */
const print = (value) => process.stdout.write(`${JSON.stringify(value)}\n`);

class UsageError extends Error {}
class FileError extends Error {}

function newest(path) {
  const stat = statSync(path);
  if (!stat.isDirectory()) return stat.mtimeMs;
  return Math.max(0, ...readdirSync(path).map((name) => newest(`${path}/${name}`)));
}

function ensureBuilt() {
  const sources = [
    'src',
    'workers',
    'models/horse-keypoints',
    'index.html',
    'headless.html',
    'vite.config.ts',
    'package-lock.json',
  ];
  const built = `${root}/dist/headless.html`;
  if (existsSync(built) && Math.max(...sources.map((s) => newest(`${root}/${s}`))) <= statSync(built).mtimeMs)
    return;
  run('npm', ['run', '--silent', 'build'], { stdio: ['ignore', 2, 2] });
}

/** Runs `work(page)` on the headless page, which is served from the build. */
async function withPage(work) {
  ensurePackages('stderr');
  ensureBuilt();
  const { preview } = await import('vite');
  const server = await preview({ root, logLevel: 'silent', preview: { port: 0, host: 'localhost' } });
  let browser;
  try {
    browser = await launchChromium();
    const page = await browser.newPage();
    page.on('pageerror', (error) => say(error.message));
    await page.exposeFunction('tell', say);
    await page.goto(new URL('headless.html', server.resolvedUrls.local[0]).href);
    await page.waitForFunction(() => globalThis.ledwalk);
    return await work(page);
  } finally {
    // A server left open would keep the process from ending.
    await browser?.close();
    await new Promise((done) => server.httpServer.close(done));
  }
}

function readable(files) {
  for (const file of files) {
    if (!existsSync(file)) throw new FileError(`${file}: there is no such file`);
    if (statSync(file).isDirectory()) throw new FileError(`${file} is a folder`);
  }
  return files.map((file) => resolve(file));
}

function withersM(text) {
  if (text === undefined) return null;
  const cm = Number(text);
  if (!(cm >= 50 && cm <= 220))
    throw new UsageError(`--withers-cm takes a height in cm between 50 and 220, not ${text}`);
  return cm / 100;
}

function groundDistance(text) {
  if (text === undefined) return null;
  const [x0, y0, x1, y1, distanceM, timeS = 0, ...more] = text.split(',').map(Number);
  if (more.length > 0 || ![x0, y0, x1, y1, timeS].every(Number.isFinite) || !(distanceM > 0))
    throw new UsageError(`--ground-distance takes x0,y0,x1,y1,metres[,second], not ${text}`);
  return { from: { x: x0, y: y0 }, to: { x: x1, y: y1 }, distanceM, timeS };
}

/** Minutes of work must not end in a file that can't be written. */
function ensureWritable(file) {
  try {
    accessSync(dirname(resolve(file)), constants.W_OK);
  } catch {
    throw new FileError(`${file} can't be written`);
  }
}

async function analyse(args) {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: {
      'withers-cm': { type: 'string' },
      'ground-distance': { type: 'string' },
      keypoints: { type: 'string' },
    },
  });
  if (positionals.length !== 1) throw new UsageError('analyse takes one clip');
  const height = withersM(values['withers-cm']);
  const distance = groundDistance(values['ground-distance']);
  if (values.keypoints) ensureWritable(values.keypoints);
  const [file] = readable(positionals);
  const { result, keypoints, remarks } = await withPage(async (page) => {
    await page.setInputFiles('#files', file);
    return page.evaluate(
      ([withers, known]) => globalThis.ledwalk.analyse(withers, known),
      [height, distance],
    );
  });
  if (values.keypoints) writeFileSync(values.keypoints, JSON.stringify(keypoints));
  for (const remark of remarks) say(remark);
  print(result);
}

async function keypoints(args) {
  const { positionals } = parseArgs({ args, allowPositionals: true });
  if (positionals.length === 0) throw new UsageError('keypoints takes one picture or more');
  const files = readable(positionals);
  const found = await withPage(async (page) => {
    await page.setInputFiles('#files', files);
    return page.evaluate(() => globalThis.ledwalk.keypoints());
  });
  for (const { error } of found) if (error) say(error);
  print(found.map((row, i) => ({ ...row, file: positionals[i] })));
  if (found.every(({ error }) => error)) process.exitCode = 1;
}

async function bench(args) {
  const { values, positionals } = parseArgs({
    args,
    allowPositionals: true,
    options: { json: { type: 'string' } },
  });
  const { benchClip, peakOf } = await import('./benchClip.mjs');
  const [file] = readable(positionals.length > 0 ? positionals : [benchClip()]);
  if (values.json) ensureWritable(values.json);
  say('Timing each stage alone, then all together: this takes about ten times as long as the clip.');
  let peak;
  const result = await withPage(async (page) => {
    await page.setInputFiles('#files', file);
    const alone = await page.evaluate(() => globalThis.ledwalk.benchStages());
    peak = peakOf();
    const chain = await page.evaluate(() => globalThis.ledwalk.benchChain());
    peak.stop();
    return { ...alone, ...chain };
  });
  const { clipS, chainS, frames, measureFps } = result;
  const stages = { ...result.stages, measure: { fps: measureFps } };
  const slowestS = frames / Math.min(...Object.values(stages).map(({ fps }) => fps));
  const ratio = chainS / slowestS;
  const row = (name, value) => `${name.padEnd(24)}${value}`;
  const lines = [
    row('clip', `${basename(file)}, ${clipS.toFixed(1)} s, ${frames} frames`),
    ...Object.entries(stages).map(([name, { fps }]) => row(`${name} alone`, `${fps.toFixed(0)} frames/s`)),
    row('whole chain', `${chainS.toFixed(1)} s, ${(frames / chainS).toFixed(0)} frames/s`),
    row('chain / slowest stage', ratio.toFixed(2)),
    row('memory at its highest', `${peak.mib()} MiB`),
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  if (values.json)
    writeFileSync(values.json, JSON.stringify({ clipS, chainS, stages, ratio, peakMiB: peak.mib() }));
}

const [command, ...args] = process.argv.slice(2);
if (args.includes('--help')) {
  process.stdout.write(`${USAGE}\n`);
  process.exit();
}
try {
  const commands = { analyse, keypoints, bench };
  if (!commands[command]) throw new UsageError(`no such command: ${command ?? ''}`);
  await commands[command](args);
} catch (error) {
  const usage = error instanceof UsageError || error.code?.startsWith('ERR_PARSE_ARGS');
  const message = error.message.replace(/^page\.evaluate: (\w+: )?/, '').split('\n    at ')[0];
  say(usage ? `${USAGE}\n\n${message}` : message);
  process.exitCode = usage || error instanceof FileError ? 2 : 1;
}
