import tseslint from 'typescript-eslint';

// The core is data in, data out: nothing from the browser, the store, the workers or the page may enter it.
const outsideTheCore = ['**/ui/**', '**/horse/**', '**/clip/**', '**/pose/**', '**/workers/**', 'comlink', 'idb', 'preact*', '@tensorflow/*', 'mediabunny'];

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
  { files: ['src/gait/**', 'src/track/**'], rules: { 'no-restricted-imports': ['error', { patterns: outsideTheCore }] } },
  { files: ['tests/**', 'scripts/**', '**/*.config.*'], rules: { 'max-lines-per-function': 'off' } },
);
