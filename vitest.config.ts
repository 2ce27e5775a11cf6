import { defineConfig } from 'vitest/config';

/** These hold a time or the memory of the machine against a bound: nothing else may run meanwhile. */
const ALONE = ['tests/track/build.test.ts', 'tests/gait/longClip.test.ts', 'tests/clip/memory.test.ts'];

export default defineConfig({
  test: {
    testTimeout: 240_000,
    hookTimeout: 480_000,
    reporters: ['default'],
    projects: [
      {
        extends: true,
        test: {
          name: 'two at a time',
          include: ['tests/**/*.test.ts'],
          exclude: ALONE,
          maxWorkers: 2,
          sequence: { groupOrder: 0 },
        },
      },
      {
        extends: true,
        test: { name: 'alone', include: ALONE, fileParallelism: false, sequence: { groupOrder: 1 } },
      },
    ],
  },
});
