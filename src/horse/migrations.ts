/** One migration a version. They run inside the browser's upgrade: awaiting anything but the database would end it. */
import { newId } from './ids.ts';
import { clipOf, under, unknownClip } from './keys.ts';
import type { Migration, Upgrade } from './schema.ts';

export const firstSchema: Migration = (db) => {
  db.createObjectStore('clips', { keyPath: 'fingerprint' });
  db.createObjectStore('runs', { keyPath: ['fingerprint', 'run'] });
  db.createObjectStore('chunks', { keyPath: ['fingerprint', 'run', 'chunk'] });
  db.createObjectStore('edits', { keyPath: ['fingerprint', 'seq'] });
};

/** Horses, heights, visits, results; clips are filed and have revisions, runs and edits an id. */
export const theRecord: Migration = async (db, upgrade) => {
  db.createObjectStore('horses', { keyPath: 'id' });
  for (const name of ['heights', 'visits'] as const) {
    db.createObjectStore(name, { keyPath: 'id' }).createIndex('horse', 'horseId');
  }
  db.createObjectStore('results', { keyPath: 'id' }).createIndex('clip', 'clipId');
  db.createObjectStore('conflicts', { keyPath: 'id' });
  db.createObjectStore('handles', { keyPath: 'fingerprint' });
  await clipsFiled(upgrade);
  await runsNamed(upgrade);
  await editsNamed(upgrade);
  upgrade.objectStore('clips').createIndex('visit', 'visitId');
  upgrade.objectStore('runs').createIndex('id', 'id', { unique: true });
  upgrade.objectStore('edits').createIndex('id', 'id', { unique: true });
};

/** Before, a run or an edit could be there without its clip. */
async function clipsFiled(upgrade: Upgrade): Promise<void> {
  const clips = upgrade.objectStore('clips');
  for (const clip of await clips.getAll()) await clips.put({ ...clip, visitId: null, revisions: [newId()] });
  const known = new Set(await clips.getAllKeys());
  const owned = [
    ...(await upgrade.objectStore('runs').getAllKeys()),
    ...(await upgrade.objectStore('edits').getAllKeys()),
  ].map(([key]) => clipOf(key));
  for (const id of new Set(owned)) if (!known.has(id)) await clips.put(unknownClip(id));
}

/**
 * Before, two tabs that read one clip could leave chunks without a run, and a run that counted as complete without its
 * first chunks.
 */
async function runsNamed(upgrade: Upgrade): Promise<void> {
  const [runs, chunks] = [upgrade.objectStore('runs'), upgrade.objectStore('chunks')];
  const named = new Set<string>();
  for (const run of await runs.getAll()) {
    const keys = await chunks.getAllKeys(under(run.fingerprint, run.run));
    const whole = keys.every(([, , chunk], i) => chunk === i);
    await runs.put({ ...run, id: newId(), startedAt: null, complete: run.complete && whole });
    if (whole) named.add(JSON.stringify([run.fingerprint, run.run]));
  }
  for (const key of await chunks.getAllKeys()) {
    if (!named.has(JSON.stringify(key.slice(0, 2)))) await chunks.delete(key);
  }
}

async function editsNamed(upgrade: Upgrade): Promise<void> {
  const edits = upgrade.objectStore('edits');
  for (const edit of await edits.getAll()) await edits.put({ ...edit, id: newId() });
}
