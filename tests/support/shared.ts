import { existsSync } from 'node:fs';
import { resolve } from 'node:path';
import { fileURLToPath } from 'node:url';

/** The folder of real clips and labels beside the repository, or null where it is absent. */
export function sharedDir(): string | null {
  const dir = resolve(fileURLToPath(new URL('../../../shared', import.meta.url)));
  return existsSync(dir) ? dir : null;
}

/** A path in that folder, or null where it is absent; says so once, as tests that need it are skipped. */
export function sharedPath(path: string): string | null {
  const dir = sharedDir();
  const full = dir === null ? null : resolve(dir, path);
  if (full !== null && existsSync(full)) return full;
  console.log(`skipped: ../shared/${path} is not there`);
  return null;
}
