/** In a real Chromium: a tab that is killed while it saves, and what the next one finds. */
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type App, startApp } from '../support/browser.ts';

let app: App;
beforeAll(async () => {
  app = await startApp();
});
afterAll(async () => {
  await app.close();
});

it('keeps every correction that was told to be saved, and of a run no more than what was seen', async () => {
  const context = await app.browser.newContext();
  const open = async () => {
    const page = await context.newPage();
    await page.goto(`${app.url}blank.html`);
    return page;
  };
  const page = await open();
  const told: string[] = [];
  await page.exposeFunction('told', (id: string) => void told.push(id));
  await page.evaluate(async () => {
    const { openStore } = (await load('/src/horse/store.ts')) as typeof import('../../src/horse/store.ts');
    const store = await openStore();
    const frame = (timeS: number) => ({ timeS, horse: null, people: [], handlerFeet: [] });
    const run = await store.beginRun('ab'.repeat(32), { networkVersion: '4', observationVersion: 5 });
    void (async () => {
      for (let i = 0; ; i++) {
        await run.append([frame(i), frame(i + 0.5)], []);
        const correction = {
          kind: 'point',
          id: `${i}`,
          timeS: i,
          point: 'left_hind_hoof',
          x: 1,
          y: 2,
        } as const;
        await store.appendEdit('ab'.repeat(32), { do: 'set', correction });
        void (globalThis as unknown as { told: (id: string) => void }).told(`${i}`);
      }
    })();
  });
  while (told.length < 20) await new Promise((done) => setTimeout(done, 20));
  // The renderer of this tab is ended where it is.
  const session = await context.newCDPSession(page);
  void session.send('Page.crash').catch(() => undefined);
  await page.waitForEvent('crash');
  const next = await open();
  const found = await next.evaluate(async () => {
    const { openStore } = (await load('/src/horse/store.ts')) as typeof import('../../src/horse/store.ts');
    const store = await openStore();
    const edits = await store.loadEdits('ab'.repeat(32));
    const seen = await store.loadObservations('ab'.repeat(32));
    return {
      ids: edits.map((edit) => ('correction' in edit ? edit.correction.id : '')),
      complete: seen?.complete,
      timesS: seen?.frames.map(({ timeS }) => timeS) ?? [],
      unfinished: (await store.unfinishedRuns()).length,
    };
  });
  expect(found.ids.length).toBeGreaterThanOrEqual(told.length);
  expect(found.ids).toEqual(found.ids.map((_id, i) => `${i}`));
  expect(found.complete).toBe(false);
  expect(found.unfinished).toBe(1);
  expect(found.timesS.length).toBeGreaterThanOrEqual(2 * told.length);
  expect(found.timesS).toEqual(found.timesS.map((_timeS, i) => i / 2));
  await context.close();
});
