import { useState } from 'preact/hooks';
import {
  type EntryView,
  inWords,
  link,
  me,
  outbox,
  saveOutbox,
  storage,
  strike,
  syncNow,
  today,
} from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showDay, showTime, showWhen } from '../../parts/days.ts';
import { lazy } from '../../parts/lazy.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { OtherFarms } from '../door/other-farms.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { Lost } from '../frame/lost.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';
import { SetAside } from '../today/set-aside.tsx';
import './outbox.css';

const Mend = lazy(() => import('./mend.tsx').then((m) => m.Mend));

const needsSomebody = (entry: EntryView) => entry.place === 'aside' || entry.place === 'stuck';

/** So many rows are drawn at first: after a season away there may be ten thousand. */
const FIRST = 100;

export function OutboxScreen() {
  const { entries, waiting, oldest } = outbox.value;
  const [most, setMost] = useState(FIRST);
  const refused = entries.filter(needsSomebody);
  const rest = entries.filter((e) => !needsSomebody(e));
  return (
    <BookPage title="Outbox">
      <div class="spread">
        <div>
          <Lost />
          <House />
          {refused.length > 0 && (
            <section class="stack">
              <h2>To look at</h2>
              {refused.map((entry) => (
                <Refused key={entry.id} entry={entry} />
              ))}
            </section>
          )}
        </div>
        <div>
          <section class="stack">
            <h2>
              {waiting === 0 ? 'Nothing waits' : `${amount(waiting, 'entry', 'entries')} on this phone`}
            </h2>
            {waiting === 0 ? (
              <p>Everything written on this phone is with the house.</p>
            ) : (
              <>
                {oldest !== null && <p class="quiet">The oldest is from {showWhen(oldest, now_ms.value)}.</p>}
                <Ledger label="Not yet with the house">
                  {rest.slice(0, most).map((entry) => (
                    <Row key={entry.id} margin={<Stamp entry={entry} />} struck={entry.struck !== null}>
                      <span>{inWords(entry)}</span>
                      {entry.reason && <small>{entry.reason.detail}</small>}
                      {entry.place === 'later' && <small>Sent again when the house has been updated.</small>}
                    </Row>
                  ))}
                </Ledger>
                {rest.length > most && (
                  <Button onClick={() => setMost(most + 10 * FIRST)}>
                    Show more, {rest.length - most} older ones
                  </Button>
                )}
              </>
            )}
          </section>
          {me.value?.role === 'owner' && <SetAside />}
          <OtherFarms />
        </div>
      </div>
    </BookPage>
  );
}

function Stamp({ entry }: { entry: EntryView }) {
  return (
    <>
      {showTime(entry.stamp)}
      {entry.day !== today.value && <span>{showDay(entry.day, today.value)}</span>}
    </>
  );
}

/** How the house is, and what can be done about it. */
function House() {
  const { state, lastSyncedAt, problem } = link.value;
  const { run, busy, wrong } = useWriting();
  const [saved, setSaved] = useState(false);
  const save = () =>
    run(async () => {
      const file = await saveOutbox();
      const address = URL.createObjectURL(file);
      const a = document.createElement('a');
      a.href = address;
      a.download = file.name;
      a.click();
      setTimeout(() => URL.revokeObjectURL(address), 60_000);
      setSaved(true);
    });
  return (
    <section class="stack">
      <p class="lead">{problem ?? SAID[state]}</p>
      {state === 'cannot_reach' && <p>Nothing is lost: what is written stays here until the house has it.</p>}
      <p class="quiet">
        {lastSyncedAt === null
          ? 'This phone has not heard from the house yet.'
          : `Last synced ${showWhen(lastSyncedAt, now_ms.value)}.`}
      </p>
      {storage.value.problem && (
        <Notice kind="refused">
          <p>{storage.value.problem}</p>
        </Notice>
      )}
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <div class="side-by-side">
        {state === 'signed_out' ? (
          <a class="button main" href="/sign-in">
            Sign in again to send
          </a>
        ) : (
          <Button kind="main" disabled={busy || state === 'sending'} onClick={() => run(syncNow)}>
            Try now
          </Button>
        )}
        <Button disabled={busy} onClick={save}>
          Save as a file
        </Button>
      </div>
      {saved && (
        <p class="quiet">Saved. The house reads the file in; an entry that it has already counts once.</p>
      )}
    </section>
  );
}

const SAID: Record<typeof link.value.state, string> = {
  in_step: 'The house and this phone are in step.',
  sending: 'Sending to the house now.',
  cannot_reach: 'The house cannot be reached.',
  signed_out: 'The house asks who is writing. Nothing is sent until somebody signs in.',
  other_house: 'A different house answers at this address. Nothing is sent to it.',
  never: 'This phone has not spoken with the house yet.',
};

/** One that the house keeps but does not count: why, and the two ways out. */
function Refused({ entry }: { entry: EntryView }) {
  const [mending, setMending] = useState(false);
  const { run, busy, wrong } = useWriting();
  return (
    <article class="refused-entry">
      <p>
        <b>{inWords(entry)}</b>
      </p>
      <p class="reason">{entry.reason?.detail ?? 'The house set it aside.'}</p>
      <p class="quiet">
        <small>
          {who(entry.author)}, {showDay(entry.day, today.value)} {showTime(entry.stamp)}. It counts for
          nothing until it is mended.
        </small>
      </p>
      {wrong !== null && <p class="late">{wrong}</p>}
      <div class="side-by-side">
        <Button kind="main" onClick={() => setMending(true)}>
          Mend
        </Button>
        <Button
          kind="strike"
          disabled={busy}
          onClick={() => run(() => strike(entry.id, 'struck from the outbox'))}
        >
          Strike it
        </Button>
      </div>
      {mending && <Mend entry={entry} onClose={() => setMending(false)} />}
    </article>
  );
}
