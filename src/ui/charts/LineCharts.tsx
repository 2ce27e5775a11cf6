import type { LinePass } from '../../gait/types.ts';
import { LINE_TRUST } from '../lineWords.ts';
import { HeadLine } from './HeadLine.tsx';
import { LinePrints } from './LinePrints.tsx';
import { SwingPaths } from './SwingPaths.tsx';

/** The charts of a pass away from the camera or back to it. */
export function LineCharts({ pass }: { pass: LinePass }) {
  const { plot } = pass;
  if (!plot)
    return (
      <section class="chart" aria-label="Charts">
        <p class="note">Without lengths there is nothing to draw of this pass.</p>
      </section>
    );
  return (
    <>
      <p class="note trust">{LINE_TRUST}</p>
      <LinePrints plot={plot} />
      <SwingPaths pass={pass} plot={plot} />
      <HeadLine pass={pass} plot={plot} />
    </>
  );
}
