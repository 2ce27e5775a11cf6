/** The guides name real things. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { root } from './support/programs.ts';

const read = (path: string): string => readFileSync(`${root}/${path}`, 'utf8');
const sources = ['src', 'workers']
  .flatMap((folder) =>
    readdirSync(`${root}/${folder}`, { recursive: true, encoding: 'utf8' }).map((f) => `${folder}/${f}`),
  )
  .filter((path) => /\.tsx?$/.test(path))
  .map(read)
  .join('\n');
const guide = read('DEVELOPERS.md');
const quoted = [...guide.matchAll(/`([^`]+)`/g)].map((m) => m[1] as string);

describe('DEVELOPERS.md', () => {
  // What tests leave there need not be there yet.
  const isSource = (q: string): boolean =>
    /^(src|workers|tests|models|scripts)\/[\w./-]+$/.test(q) && !q.startsWith('tests/.cache');
  it.each([...new Set(quoted.filter(isSource))])('%s exists', (path) => {
    expect(existsSync(`${root}/${path}`)).toBe(true);
  });

  it.each([
    ...new Set(quoted.filter((q) => /^([a-z]+[A-Z]\w*|[A-Z][a-z]+\w*|observe|measure|step)$/.test(q))),
  ])('%s is exported', (name) => {
    expect(sources).toMatch(new RegExp(`export (async )?(function|class|const) ${name}\\b`));
  });
});

describe('README.md', () => {
  const readme = read('README.md');
  const { dependencies, devDependencies, scripts } = JSON.parse(read('package.json')) as Record<
    string,
    Record<string, string>
  >;

  it.each(Object.keys({ ...dependencies, ...devDependencies }).filter((name) => !name.startsWith('@types/')))(
    'says why %s is there',
    (name) => {
      const short = name.replace('@tensorflow/tfjs-', '-');
      expect(readme.includes(name) || (short !== name && readme.includes(short))).toBe(true);
    },
  );

  it('names commands that there are', () => {
    const named = [...readme.matchAll(/npm (?:run )?(start|test|analyse|keypoints|bench)/g)].map(
      (m) => m[1] as string,
    );
    expect(named.length).toBeGreaterThan(4);
    for (const name of named) expect(scripts).toHaveProperty(name);
  });
});
