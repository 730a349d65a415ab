import { useState } from 'preact/hooks';
import type { BadRow, Shown } from '../../book/trip/notebook.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';

export interface Done {
  all: number;
  left: number;
  counts: Record<string, number>;
  refused: string[];
}

/** What the sheet would write, and what it did. */
export function Outcome({ shown, done, busy }: { shown: Shown; done: Done | null; busy: boolean }) {
  return (
    <section class="outcome" aria-label="What it would write" aria-busy={busy}>
      <h2>{done === null ? 'What it would write' : 'What was written'}</h2>
      {shown.order_unknown !== null && <p class="late">{shown.order_unknown}.</p>}
      {done === null ? (
        <p>
          <b>{amount(shown.entries - shown.already, 'entry', 'entries')}</b>
          {shown.already > 0 && `, and ${shown.already} more that are in the book already`}.
        </p>
      ) : (
        <Written done={done} />
      )}
      <Rows
        title={`${amount(shown.bad_rows, 'row')} cannot be read, and write nothing`}
        rows={shown.bad}
        all={shown.bad_rows}
      />
      <Rows
        title={`${amount(shown.doubtful_rows, 'row')} would be asked about on Today`}
        rows={shown.doubtful}
        all={shown.doubtful_rows}
      />
    </section>
  );
}

function Written({ done }: { done: Done }) {
  const written = (done.counts.written ?? 0) + (done.counts.questioned ?? 0) + (done.counts.already ?? 0);
  const total = Math.max(done.all, 1);
  return (
    <>
      <progress max={total} value={total - done.left} aria-label="Entries written" />
      <p role="status">
        {done.left > 0
          ? `${done.all - done.left} of ${done.all} written.`
          : `${amount(written, 'entry', 'entries')} written. They come to the phones with the next sync.`}
      </p>
      {done.refused.length > 0 && (
        <Notice kind="refused">
          <p>
            {amount(done.refused.length, 'entry', 'entries')} set aside: {done.refused[0]}
          </p>
        </Notice>
      )}
    </>
  );
}

const AT_FIRST = 200;

/** Every row with its reason; of a sheet that is all wrong the first ones, until the rest is asked for. */
function Rows({ title, rows, all }: { title: string; rows: BadRow[]; all: number }) {
  const [most, setMost] = useState(AT_FIRST);
  if (rows.length === 0) return null;
  return (
    <details open={rows.length <= 12}>
      <summary>{title}</summary>
      <ul class="bad-rows">
        {rows.slice(0, most).map((row, n) => (
          <li key={n}>
            <b>Row {row.number}</b>
            {row.column !== '' && <span>{row.column}</span>}
            <span>{row.reason}</span>
          </li>
        ))}
      </ul>
      {rows.length > most && (
        <Button onClick={() => setMost(rows.length)}>Show the other {rows.length - most}</Button>
      )}
      {all > rows.length && <p class="quiet">Of these the house lists the first {rows.length}.</p>}
    </details>
  );
}
