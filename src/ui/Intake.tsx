import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { WithersField } from './WithersField.tsx';
import { FilmingInShort } from './advice/FilmingCard.tsx';
import { useSession } from './context.ts';
import { formatTyped } from './format.ts';
import type { Sample } from './samples.ts';
import { CAUTIONS, WHAT_IS_MEASURED } from './words.ts';

/** The way in: a clip is dropped, chosen, or one of the drawn ones taken. */
export function Intake() {
  const session = useSession();
  return (
    <div class="intake">
      <div class="intake-way-in">
        {session.failure.value !== null && (
          <p class="failure" role="alert">
            {session.failure.value}
          </p>
        )}
        <DropZone />
        <WithersField />
        <Samples />
      </div>
      <section class="advice" aria-labelledby="filming">
        <h2 id="filming">How to film</h2>
        <FilmingInShort />
        <p>{WHAT_IS_MEASURED}</p>
        <h2>Take care</h2>
        <ul>
          {CAUTIONS.handling.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
        <p>
          {CAUTIONS.notAnExamination} {CAUTIONS.vet}
        </p>
      </section>
    </div>
  );
}

function DropZone() {
  const session = useSession();
  const over = useSignal(false);
  const input = useRef<HTMLInputElement>(null);
  return (
    <div
      class="drop-zone"
      data-over={over.value}
      onDragOver={(event) => {
        event.preventDefault();
        over.value = true;
      }}
      onDragLeave={() => (over.value = false)}
      onDrop={() => (over.value = false)}
    >
      <p class="drop-words">Drop a clip of the led horse here</p>
      <p>
        <button type="button" class="main-button" onClick={() => input.current?.click()}>
          Choose a clip
        </button>
        <input
          ref={input}
          type="file"
          class="unseen"
          tabIndex={-1}
          aria-hidden="true"
          accept="video/*,.avi,.mkv,.mts,.m2ts"
          onChange={(event) => {
            const files = [...(event.currentTarget.files ?? [])];
            event.currentTarget.value = '';
            session.take(files);
          }}
        />
      </p>
      <p class="hint">The clip stays on this machine; nothing is sent anywhere.</p>
    </div>
  );
}

/** Drawn clips to try the page with, those that are there. */
function Samples() {
  const session = useSession();
  const samples = useSignal<readonly Sample[]>([]);
  useEffect(() => {
    void session.engine
      .then(async (engine) => (samples.value = await thoseThere(engine.samples)))
      .catch(() => undefined);
  }, [session, samples]);
  if (samples.value.length === 0) return null;
  return (
    <section class="samples" aria-labelledby="samples">
      <h2 id="samples">No clip at hand? Try a drawn one</h2>
      <ul>
        {samples.value.map((sample) => (
          <SampleLine key={sample.fileName} sample={sample} />
        ))}
      </ul>
    </section>
  );
}

function SampleLine({ sample }: { sample: Sample }) {
  const session = useSession();
  const failed = useSignal(false);
  const { url, fileName, title, about, withersM } = sample;
  const take = async () => {
    try {
      const answer = await fetch(url);
      if (!answer.ok) throw new Error(String(answer.status));
      const blob = await answer.blob();
      void session.read(new File([blob], fileName, { type: blob.type }), { sample });
    } catch {
      failed.value = true;
    }
  };
  return (
    <li>
      <button type="button" class="quiet-button" disabled={failed.value} onClick={() => void take()}>
        {title}
      </button>{' '}
      <span class="hint">
        {failed.value ? 'This clip is not here.' : `${about}; ${formatTyped(withersM, session.units.value)}`}
      </span>
    </li>
  );
}

async function thoseThere(samples: readonly Sample[]): Promise<readonly Sample[]> {
  const there = await Promise.all(samples.map(({ url }) => isThere(url).catch(() => false)));
  return samples.filter((_, i) => there[i]);
}

/** A server may answer with its start page where it has no such file. */
async function isThere(url: string): Promise<boolean> {
  if (url.startsWith('blob:')) return true;
  const answer = await fetch(url, { method: 'HEAD' });
  return answer.ok && (answer.headers.get('content-type') ?? '').startsWith('video/');
}
