import { useState } from 'preact/hooks';
import { type KnownPhone, phones, unpair } from '../../book/trip/house-people.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { useAsked } from './use-asked.ts';

/** The phones that write in this book: when each was last here, and what it still had. */
export function Phones() {
  return (
    <BookPage title="Phones" back={{ href: '/set-up', name: 'Set-up' }}>
      <OwnersOnly>
        <Listed />
      </OwnersOnly>
    </BookPage>
  );
}

const when = (moment: string) =>
  new Date(moment).toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });

function Listed() {
  const { found, wrong, again } = useAsked(phones);
  const [asked, setAsked] = useState<KnownPhone | null>(null);
  return (
    <>
      <p class="quiet">
        To bring in a phone, open <a href="/set-up/people">People</a> and choose whose it is.
      </p>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
          <Button onClick={again}>Try again</Button>
        </Notice>
      )}
      <Ledger label="Phones">
        {found?.map((p) => (
          <Row
            key={p.id}
            struck={p.unpaired_at !== null}
            margin={p.this ? 'This' : p.unpaired_at !== null ? 'Off' : 'Known'}
            end={
              p.unpaired_at === null &&
              !p.this && (
                <Button kind="quiet" onClick={() => setAsked(p)}>
                  Unpair<span class="only-read"> {p.name}</span>
                </Button>
              )
            }
          >
            <strong>{p.name}</strong>
            <span>{p.people.join(', ') || 'nobody'}</span>
            <span>
              {p.last_seen === null
                ? `signed in ${when(p.first_seen)}, has sent nothing yet`
                : `last sent ${when(p.last_seen)}; ${
                    p.waiting === 0
                      ? 'nothing waited then'
                      : `${amount(p.waiting, 'entry', 'entries')} waited then`
                  }`}
            </span>
          </Row>
        ))}
      </Ledger>
      {asked && (
        <Unpair
          phone={asked}
          onClose={() => setAsked(null)}
          onDone={() => {
            setAsked(null);
            again();
          }}
        />
      )}
    </>
  );
}

function Unpair({ phone, onClose, onDone }: { phone: KnownPhone; onClose: () => void; onDone: () => void }) {
  const { wrong, busy, run } = useWriting();
  return (
    <Sheet title={`Unpair ${phone.name}?`} onClose={onClose}>
      <p>
        It is signed out, and sends and reads nothing until somebody signs in on it again. What it has not
        sent stays on it.
      </p>
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button
        kind="strike"
        disabled={busy}
        onClick={() =>
          run(async () => {
            await unpair(phone.id);
            onDone();
          })
        }
      >
        Unpair
      </Button>
    </Sheet>
  );
}
