import tseslint from 'typescript-eslint';

// The core is data in, data out: nothing from the browser, the store, the workers or the page may enter it.
const outsideTheCore = [
  '**/ui/**',
  '**/horse/**',
  '**/clip/**',
  '**/pose/**',
  '**/motion/**',
  '**/report/**',
  '**/workers/**',
  '**/pipeline.ts',
  'comlink',
  'idb',
  'preact*',
  '@preact/*',
  '@tensorflow/*',
  'mediabunny',
  'three',
  'three/*',
];
// No clock either: the same data give the same results at any time.
const noClock = 'The core has no clock.';
const clocks = ['Date', 'performance'];
const coreRules = {
  'no-restricted-imports': ['error', { patterns: outsideTheCore }],
  'no-restricted-globals': ['error', ...clocks.map((name) => ({ name, message: noClock }))],
  'no-restricted-properties': [
    'error',
    ...['globalThis', 'self', 'window'].flatMap((object) =>
      clocks.map((property) => ({ object, property, message: noClock })),
    ),
  ],
};

export default tseslint.config(
  { ignores: ['dist', 'public', 'node_modules', 'coverage', 'models', 'tests/.cache'] },
  ...tseslint.configs.strict,
  {
    rules: {
      '@typescript-eslint/no-explicit-any': 'error',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_' }],
      'max-lines': ['error', { max: 300, skipBlankLines: true, skipComments: true }],
      'max-lines-per-function': ['error', { max: 60, skipBlankLines: true, skipComments: true }],
    },
  },
  {
    files: ['src/gait/**', 'src/track/**', 'src/advice/**', 'src/stats/**', 'src/stand/**'],
    rules: coreRules,
  },
  { files: ['tests/**', 'scripts/**', '**/*.config.*'], rules: { 'max-lines-per-function': 'off' } },
);
