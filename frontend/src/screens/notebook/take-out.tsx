import { useEffect, useState } from 'preact/hooks';
import { me } from '../../book/index.ts';
import { calendarLink, turnCalendarLink } from '../../book/trip/calendar-link.ts';
import type { SheetLink } from '../../book/trip/sheet-link.ts';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';
import { BookPage } from '../frame/book-page.tsx';
import './notebook.css';

/** The book as files that other programs read. They come from the house, so they are as it has them. */
export function TakeOut() {
  const [customers, setCustomers] = useState(false);
  const asked = customers ? '?customers=yes' : '';
  return (
    <BookPage title="Take the book out" back={{ href: '/set-up', name: 'Set-up' }}>
      <p>
        All that stands, every figure and every entry, struck ones too, a table a kind.{' '}
        {customers
          ? 'Whoever has the file can read who your customers are, and erasing one does not reach it.'
          : 'Customers are in none of them.'}
      </p>
      {me.value?.role === 'owner' && (
        <label class="with-customers">
          <input
            type="checkbox"
            checked={customers}
            onChange={(event) => setCustomers(event.currentTarget.checked)}
          />
          With the customers
        </label>
      )}
      <div class="files">
        <a class="button main" href={`/api/book.xlsx${asked}`} download>
          Workbook (XLSX)
        </a>
        <a class="button plain" href={`/api/book-csv.zip${asked}`} download>
          Tables (CSV, zipped)
        </a>
      </div>
      <h2>What is due, in a calendar</h2>
      <p>
        One file with every due day up to 120 days ahead, for any calendar program. It does not renew itself.
      </p>
      <a class="button plain" href="/api/due.ics" download>
        Calendar file (.ics)
      </a>
      {me.value?.role === 'owner' && <Address />}
    </BookPage>
  );
}

/** An address that a calendar program asks again by itself. */
function Address() {
  const [link, setLink] = useState<SheetLink | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(true);
  const look = async (first: Promise<unknown> = Promise.resolve()) => {
    setBusy(true);
    setWrong(null);
    try {
      await first;
      setLink(await calendarLink());
    } catch (error) {
      setWrong(error instanceof Error ? error.message : 'The house cannot be reached.');
    }
    setBusy(false);
  };
  useEffect(() => void look(), []);
  return (
    <section class="calendar-address" aria-label="A calendar that renews itself" aria-busy={busy}>
      <h2>A calendar that renews itself</h2>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      {link !== null && link.why_not !== '' && (
        <p>
          This house has no public address, so a calendar program elsewhere cannot ask it. Take the file
          above.
        </p>
      )}
      {link !== null && link.why_not === '' && link.url === null && (
        <>
          <p>
            A secret address that a calendar program asks by itself. Whoever has it can read which brood or
            cage has what due, and nothing of people.
          </p>
          <Button disabled={busy} onClick={() => void look(turnCalendarLink(true))}>
            Make the address
          </Button>
        </>
      )}
      {link !== null && link.url !== null && (
        <>
          <p class="secret">{link.url}</p>
          <Button kind="strike" disabled={busy} onClick={() => void look(turnCalendarLink(false))}>
            Turn it off for good
          </Button>
        </>
      )}
    </section>
  );
}
