// Brings a bare clone to the point where it builds, and finds (or, on Debian as root, installs) what is outside npm.
import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('..', import.meta.url));

export function run(command, args, options = {}) {
  const done = spawnSync(command, args, { cwd: root, stdio: 'inherit', ...options });
  if (done.status !== 0)
    throw new Error(`${command} ${args.join(' ')} ended with ${done.status ?? done.error}`);
}

/** Several commands at the same time; once all have ended, throws for the first that failed. */
export async function runTogether(commands, options = {}) {
  const running = commands.map(
    ([command, args]) =>
      new Promise((resolve, reject) => {
        const child = spawn(command, args, { cwd: root, stdio: 'inherit', ...options });
        child.on('error', reject);
        child.on('close', (code) =>
          code === 0 ? resolve() : reject(new Error(`${command} ${args.join(' ')} ended with ${code}`)),
        );
      }),
  );
  const failed = (await Promise.allSettled(running)).find(({ status }) => status === 'rejected');
  if (failed) throw failed.reason;
}

export function ensurePackages(log = 'inherit') {
  const installed = `${root}/node_modules/.package-lock.json`;
  const wanted = `${root}/package-lock.json`;
  if (existsSync(installed) && statSync(installed).mtimeMs >= statSync(wanted).mtimeMs) return;
  // .npmrc keeps npm silent for the sake of stdout; an install that fails must still say why.
  run('npm', ['ci', '--loglevel=notice'], { stdio: ['ignore', log === 'inherit' ? 'inherit' : 2, 2] });
}

function onPath(names) {
  for (const name of names) {
    const found = spawnSync('sh', ['-c', `command -v ${name}`], { encoding: 'utf8' });
    if (found.status === 0) return found.stdout.trim();
  }
  return null;
}

function isDebian() {
  return (
    existsSync('/etc/os-release') && /^ID(_LIKE)?=.*debian/m.test(readFileSync('/etc/os-release', 'utf8'))
  );
}

/** Path of a program; installs its Debian package where that is allowed, else says what to install. */
function ensureProgram(names, debianPackage, variable) {
  const found = process.env[variable] || onPath(names);
  if (found) return found;
  if (isDebian() && process.getuid?.() === 0) {
    const toStderr = { stdio: ['ignore', 2, 2], env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };
    // apt refuses to install anything after an installation that was cut off, until this has finished it.
    run('dpkg', ['--configure', '-a'], toStderr);
    run('apt-get', ['update', '-qq'], toStderr);
    run('apt-get', ['install', '-y', '-qq', '--no-install-recommends', debianPackage], toStderr);
    const now = onPath(names);
    if (now) return now;
  }
  throw new Error(
    `Please install ${names[0]} (on Debian or Ubuntu: sudo apt-get install ${debianPackage}), or set ${variable} to its path.`,
  );
}

export const ensureChromium = () =>
  ensureProgram(['chromium', 'chromium-browser', 'google-chrome', 'chrome'], 'chromium', 'CHROMIUM');
export const ensureFfmpeg = () => ensureProgram(['ffmpeg'], 'ffmpeg', 'FFMPEG');
