// npm test: set up, then types, lint, and every test, those in the browser too.
import { ensureChromium, ensureFfmpeg, ensurePackages, run } from './setup.mjs';

ensurePackages();
const env = { ...process.env, CHROMIUM: ensureChromium(), FFMPEG: ensureFfmpeg() };
run('npm', ['run', '--silent', 'types'], { env });
run('npm', ['run', '--silent', 'lint'], { env });
run('npm', ['run', '--silent', 'build'], { env });
run('npx', ['vitest', 'run', ...process.argv.slice(2)], { env });
