// npm test: set up, then build, types and lint, and every test, those in the browser too.
import { ensureChromium, ensureFfmpeg, ensurePackages, run, runTogether } from './setup.mjs';

ensurePackages();
const env = { ...process.env, CHROMIUM: ensureChromium(), FFMPEG: ensureFfmpeg() };
run('npm', ['run', '--silent', 'build'], { env });
const npmRun = (script) => ['npm', ['run', '--silent', script]];
await runTogether([npmRun('types'), npmRun('lint')], { env });
run('npx', ['vitest', 'run', ...process.argv.slice(2)], { env });
