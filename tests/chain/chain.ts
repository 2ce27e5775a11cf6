/** The whole chain in one Chromium, as page and command line run it. */
import type { Page } from 'playwright-core';
import type { Observed } from '../../src/pipeline.ts';
import type { ResultFile } from '../../src/report/contract.ts';
import { giveFiles, startApp, type App } from '../support/browser.ts';

export interface Chain {
  readonly app: App;
  readonly page: Page;
  /** Clip to result; `withersM` as typed in. */
  run(path: string, withersM: number | null): Promise<ResultFile>;
  /** The same, with all that was seen. */
  runSeen(path: string, withersM: number | null): Promise<{ result: ResultFile; seen: Observed }>;
  close(): Promise<void>;
}

/** Runs in the page. */
async function analysed({ name, withersM }: { name: string; withersM: number | null }): Promise<string> {
  const analysis = (await load('/src/analysis.ts')) as typeof import('../../src/analysis.ts');
  const pipeline = (await load('/src/pipeline.ts')) as typeof import('../../src/pipeline.ts');
  const contract = (await load('/src/report/contract.ts')) as typeof import('../../src/report/contract.ts');
  const { seen } = await analysis.analyseFile(fileNamed(name));
  const result = contract.resultFile(seen, pipeline.measure(seen, [], withersM), withersM);
  return JSON.stringify({ result, seen });
}

export async function startChain(): Promise<Chain> {
  const app = await startApp();
  const page: Page = await app.blank();
  const runSeen: Chain['runSeen'] = async (path, withersM) => {
    await giveFiles(page, [path]);
    const name = path.split('/').pop() ?? '';
    return JSON.parse(await page.evaluate(analysed, { name, withersM })) as Awaited<
      ReturnType<Chain['runSeen']>
    >;
  };
  return {
    app,
    page,
    runSeen,
    run: async (path, withersM) => (await runSeen(path, withersM)).result,
    close: () => app.close(),
  };
}
