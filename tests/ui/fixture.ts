/** The page on the fixture engine. ?auto=1 reads the drawn clip at once; ?readingMs= sets how long that takes. */
import { mount } from '../../src/ui/mount.tsx';
import type { Session } from '../../src/ui/session.ts';
import { fixtureEngine } from './fixtureEngine.ts';
import { fixtureVideo } from './fixtureVideo.ts';

declare global {
  var session: Session;
}

const options = new URLSearchParams(location.search);
const readingMs = Number(options.get('readingMs') ?? 50);
const file = await fixtureVideo();
const sample = { url: URL.createObjectURL(file), fileName: file.name };
globalThis.session = mount(Promise.resolve(fixtureEngine({ readingMs, sample })));
if (options.get('auto') === '1') await globalThis.session.read(file);
