import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vite';

// SharedArrayBuffer needs a cross-origin isolated page.
const isolation = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
};
const page = (name: string) => fileURLToPath(new URL(name, import.meta.url));

export default defineConfig({
  base: './',
  server: { headers: isolation },
  preview: { headers: isolation, port: 4173 },
  worker: { format: 'es' },
  resolve: {
    // pose-detection imports `Pose` from this package, which exports nothing as a module.
    alias: { '@mediapipe/pose': page('src/pose/noMediapipe.ts') },
  },
  build: {
    target: 'es2022',
    rollupOptions: { input: { index: page('index.html'), headless: page('headless.html') } },
  },
  optimizeDeps: {
    include: [
      '@tensorflow/tfjs-core',
      '@tensorflow/tfjs-converter',
      '@tensorflow/tfjs-backend-wasm',
      '@tensorflow/tfjs-backend-webgl',
      '@tensorflow/tfjs-backend-webgpu',
      'mediabunny',
      '@techstark/opencv-js',
      'comlink',
      'preact',
      '@preact/signals',
    ],
  },
});
