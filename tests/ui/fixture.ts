/**
 * The page on the fixture engine. ?auto=1 reads the drawn clip at once; ?readingMs= sets how long that takes, ?againMs=
 * how long it takes for another horse of the clip; ?astray=1: some hooves are seen beside their places; ?course=1: the clip
 * has more than a walk past.
 */
import { mount } from '../../src/ui/mount.tsx';
import { SAMPLES } from '../../src/ui/samples.ts';
import type { Session } from '../../src/ui/session.ts';
import { fixtureEngine } from './fixtureEngine.ts';
import { FIXTURE_NAME, fixtureVideo } from './fixtureVideo.ts';

declare global {
  var session: Session;
}

const options = new URLSearchParams(location.search);
const readingMs = Number(options.get('readingMs') ?? 50);
const againMs = Number(options.get('againMs') ?? readingMs);
const [astray, course] = ['astray', 'course'].map((name) => options.get(name) === '1');
const kept = await fetch(new URL('fixture.mp4', location.href));
const isVideo = kept.headers.get('content-type') === 'video/mp4';
const file = isVideo
  ? new File([await kept.blob()], FIXTURE_NAME, { type: 'video/mp4' })
  : await fixtureVideo();
/** The page's own samples, each with the drawn horse of the fixture in place of its clip. */
const samples = SAMPLES.map((sample) => ({ ...sample, url: URL.createObjectURL(file) }));
globalThis.session = mount(
  Promise.resolve(
    fixtureEngine({ readingMs, againMs, samples, ...(astray && { astray }), ...(course && { course }) }),
  ),
);
if (options.get('auto') === '1') await globalThis.session.read(file);
