// The clip that the bench runs on when none is named, and the memory that it takes.
import { existsSync, mkdirSync, readFileSync, readdirSync, renameSync } from 'node:fs';
import { ensureFfmpeg, root, run } from './setup.mjs';

/** Ten seconds of 1080p60, H.264: the sample clip played over and over. */
export function benchClip() {
  const file = `${root}/tests/.cache/bench-1080p60.mp4`;
  if (existsSync(file)) return file;
  mkdirSync(`${root}/tests/.cache`, { recursive: true });
  // Made beside its place: one that was broken off must not be taken for it.
  const part = file.replace('.mp4', '.part.mp4');
  const sample = `${root}/sample-clips/side-pass.mp4`;
  const picture = [
    '-vf',
    'scale=1920:1080,fps=60',
    '-c:v',
    'libx264',
    '-preset',
    'fast',
    '-crf',
    '20',
    '-pix_fmt',
    'yuv420p',
  ];
  run(
    ensureFfmpeg(),
    ['-v', 'error', '-y', '-stream_loop', '-1', '-i', sample, '-t', '10', ...picture, '-an', part],
    { stdio: ['ignore', 2, 2] },
  );
  renameSync(part, file);
  return file;
}

/**
 * Memory of every process below this one, MiB, at its highest: the proportional set size, so that what they share
 * counts once. Read from /proc where there is one, else this process alone.
 */
export function peakOf() {
  let highest = 0;
  const look = () => {
    highest = Math.max(highest, memoryMib());
  };
  const timer = setInterval(look, 250);
  return { stop: () => clearInterval(timer), mib: () => Math.round(highest) };
}

function memoryMib() {
  if (!existsSync('/proc/self/status')) return process.memoryUsage().rss / 2 ** 20;
  const parents = new Map();
  const sizes = new Map();
  for (const id of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      const status = readFileSync(`/proc/${id}/status`, 'utf8');
      parents.set(id, /^PPid:\s*(\d+)/m.exec(status)?.[1]);
      const rollup = readFileSync(`/proc/${id}/smaps_rollup`, 'utf8');
      sizes.set(id, Number(/^Pss:\s*(\d+)/m.exec(rollup)?.[1] ?? 0));
    } catch {
      // The process has ended meanwhile.
    }
  }
  const ours = (id) => id === String(process.pid) || (parents.has(id) && ours(parents.get(id)));
  let kib = 0;
  for (const [id, size] of sizes) if (ours(id)) kib += size;
  return kib / 1024;
}
