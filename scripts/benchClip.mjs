// The clip that the bench runs on when none is named, and the memory that it takes.
import { existsSync, mkdirSync, readFileSync, readdirSync } from 'node:fs';
import { ensureFfmpeg, root, run } from './setup.mjs';

/** Ten seconds of 1080p60, H.264: the sample clip played over and over. */
export function benchClip() {
  const file = `${root}/tests/.cache/bench-1080p60.mp4`;
  if (existsSync(file)) return file;
  mkdirSync(`${root}/tests/.cache`, { recursive: true });
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
    ['-v', 'error', '-y', '-stream_loop', '-1', '-i', sample, '-t', '10', ...picture, '-an', file],
    { stdio: ['ignore', 2, 2] },
  );
  return file;
}

/** Resident memory of every process below this one, MiB, at its highest; read from /proc where there is one. */
export function peakOf() {
  let highest = 0;
  const look = () => {
    highest = Math.max(highest, residentMib());
  };
  const timer = setInterval(look, 250);
  return { stop: () => clearInterval(timer), mib: () => Math.round(highest) };
}

function residentMib() {
  if (!existsSync('/proc/self/status')) return process.memoryUsage().rss / 2 ** 20;
  const parents = new Map();
  const sizes = new Map();
  for (const id of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      const status = readFileSync(`/proc/${id}/status`, 'utf8');
      parents.set(id, /^PPid:\s*(\d+)/m.exec(status)?.[1]);
      sizes.set(
        id,
        Number(/^RssAnon:\s*(\d+)/m.exec(status)?.[1] ?? 0) +
          Number(/^RssShmem:\s*(\d+)/m.exec(status)?.[1] ?? 0),
      );
    } catch {
      // The process has ended meanwhile.
    }
  }
  const ours = (id) => id === String(process.pid) || (parents.has(id) && ours(parents.get(id)));
  let kib = 0;
  for (const [id, size] of sizes) if (ours(id)) kib += size;
  return kib / 1024;
}
