import { useState } from 'preact/hooks';
import { acceptUpdate, house, link, me, outbox, signOut, storage, update } from '../../book/index.ts';
import { type Light, light, setLight } from '../../look/light.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { NotKept } from '../frame/not-kept.tsx';
import { useWriting } from '../frame/use-writing.ts';

/** How this device keeps the book, how it looks, who writes on it. */
export function Phone() {
  const [shade, setShade] = useState<Light>(light);
  const [leaving, setLeaving] = useState(false);
  const { wrong, run, busy } = useWriting();
  const { waiting } = outbox.value;
  return (
    <BookPage title="This device" back={{ href: '/set-up', name: 'Set-up' }}>
      <div class="spread">
        <div>
          <section class="stack">
            <h2>Light</h2>
            <Choice
              label="Light"
              labelOnlyRead
              value={shade}
              onChoose={(to) => {
                setLight(to);
                setShade(to);
              }}
              options={[
                { value: 'device', name: 'As the device' },
                { value: 'day', name: 'Day' },
                { value: 'night', name: 'Night' },
              ]}
            />
          </section>
          <section class="stack">
            <h2>Keeping</h2>
            <NotKept />
            <p>{KEEPING[String(storage.value.persisted) as keyof typeof KEEPING]}</p>
            {storage.value.full && (
              <Notice kind="refused">
                <p>
                  The device is full: the last entry could not be kept. Make room, or save the outbox as a
                  file first.
                </p>
              </Notice>
            )}
            <p>
              {waiting === 0
                ? 'Nothing waits to be sent.'
                : `${amount(waiting, 'entry', 'entries')} on this device only.`}{' '}
              <a href="/outbox">Outbox</a>
            </p>
          </section>
        </div>
        <div>
          <section class="stack">
            <h2>Who writes here</h2>
            <p>
              {me.value ? (
                <>
                  <b>{me.value.name}</b>, {me.value.role} at {me.value.farm.name}
                </>
              ) : (
                'Nobody is signed in.'
              )}
            </p>
            {link.value.state === 'signed_out' ? (
              <a class="button main" href="/sign-in">
                Sign in again
              </a>
            ) : (
              <Button onClick={() => setLeaving(true)}>Sign out</Button>
            )}
          </section>
          <section class="stack">
            <h2>Barnbook</h2>
            <p>
              On this device {__APP_VERSION__}, at the house {house.value?.version ?? 'not heard yet'}.
            </p>
            {update.value && <Button onClick={acceptUpdate}>Open the newer one</Button>}
          </section>
        </div>
      </div>
      {leaving && (
        <Sheet title="Sign out?" onClose={() => setLeaving(false)}>
          <p>
            The book and the outbox stay on this device.
            {waiting > 0 &&
              ` ${amount(waiting, 'entry', 'entries')} not yet sent: they are sent when somebody signs in again.`}
          </p>
          {wrong !== null && <p class="late">{wrong}</p>}
          <Button
            kind="main"
            disabled={busy}
            onClick={() => run(signOut).then((done) => done && setLeaving(false))}
          >
            Sign out
          </Button>
        </Sheet>
      )}
    </BookPage>
  );
}

const KEEPING = {
  true: 'The browser has promised to keep the book on this device.',
  false:
    'The browser has not promised to keep the book: it may clear it when space runs short. Putting Barnbook on the home screen usually brings the promise.',
  null: 'This browser does not say whether it keeps the book. Sync often.',
} as const;
