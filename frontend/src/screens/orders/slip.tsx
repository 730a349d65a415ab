import { useRef, useState } from 'preact/hooks';
import { farm, lines, me, type ShipmentRow, shipments } from '../../book/index.ts';
import { makeReportLink, type ReportLink } from '../../book/trip/report-link.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay, showWeekday } from '../../parts/days.ts';
import { Qr } from '../../parts/qr.tsx';
import type { Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { lineName } from './now.ts';
import { eggsIn } from './open-orders.ts';
import { saveSlip } from './save-slip.ts';
import { adviceFor, RULES, WASH } from './slip-words.ts';
import './slip.css';

/** What goes into the box, on one side of a sheet; printed as it stands here, or kept as one file. */
export function Slip({ shipment: id = '' }: Params) {
  const shipment = shipments.value.get(id);
  const [link, setLink] = useState<ReportLink | null>(null);
  const [none, setNone] = useState<string | null>(null);
  const sheet = useRef<HTMLElement>(null);
  const { wrong, busy, run } = useWriting();
  if (!shipment)
    return (
      <BookPage title="A slip" back={{ href: '/orders', name: 'Orders' }}>
        <p>This shipment has not reached this phone yet.</p>
      </BookPage>
    );
  const make = () =>
    void run(async () => {
      const made = await makeReportLink(shipment.id);
      if (typeof made === 'string') setNone(made);
      else setLink(made);
    });
  return (
    <BookPage
      title={`Slip ${shipment.code}`}
      back={{ href: `/shipment/${shipment.id}`, name: shipment.code }}
    >
      <div class="slip-keys">
        <Button kind="main" onClick={() => print()}>
          Print
        </Button>
        <Button onClick={() => sheet.current && saveSlip(sheet.current, shipment.code)}>
          Save as a file
        </Button>
        {me.value?.role === 'owner' && link === null && none === null && (
          <Button disabled={busy} onClick={make}>
            Make the report link
          </Button>
        )}
      </div>
      {none !== null && <p class="quiet slip-keys">{none}</p>}
      {wrong !== null && <p class="late slip-keys">{wrong}</p>}
      <Sheet at={sheet} shipment={shipment} link={link} />
    </BookPage>
  );
}

function Sheet({
  at,
  shipment,
  link,
}: {
  at: { current: HTMLElement | null };
  shipment: ShipmentRow;
  link: ReportLink | null;
}) {
  const own = lines.value.filter((l) => shipment.eggs.some((e) => e.line === l.id));
  return (
    <article class="slip printed" ref={at} aria-label="The slip">
      <header>
        <h2>Hatching eggs</h2>
        <p>
          {farm.value?.name}
          <br />
          {shipment.code}, {showDay(shipment.sent_on ?? shipment.packed_on, '')}
        </p>
      </header>
      <table>
        <thead>
          <tr>
            <th>Line</th>
            <th>Laid</th>
            <th>Eggs</th>
          </tr>
        </thead>
        <tbody>
          {shipment.eggs.map((e) => (
            <tr key={`${e.order} ${e.line} ${e.laid_on}`}>
              <td>{lineName(e.line)}</td>
              <td>{e.laid_on === null ? 'day not known' : showWeekday(e.laid_on)}</td>
              <td>{e.eggs}</td>
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th colSpan={2}>
              Together
              {shipment.boxes !== null &&
                `, ${amount(shipment.boxes, 'box', 'boxes')} of ${shipment.box_holds}`}
            </th>
            <th>{eggsIn(shipment)}</th>
          </tr>
        </tfoot>
      </table>
      <section>
        <h3>When they come</h3>
        <ol>
          {adviceFor(own).map(({ say, source }) => (
            <li key={say}>
              {say} <small>({source})</small>
            </li>
          ))}
        </ol>
      </section>
      {link !== null ? (
        <section class="slip-report">
          <Qr class="slip-qr" label="The link, for a camera" text={link.url} />
          <div>
            <h3>How did they hatch?</h3>
            <p>
              Point a phone’s camera here. A few numbers help us both; no account, and you can correct them.
            </p>
            <p class="slip-link">
              {link.url}, until {showDay(link.until, '')}
            </p>
          </div>
        </section>
      ) : (
        <section>
          <h3>How did they hatch? Please send this back</h3>
          <ReplySlip plumage={own.flatMap((l) => l.plumage.map((p) => p.words))} />
        </section>
      )}
      <p class="slip-rules">
        {RULES} {WASH}
      </p>
    </article>
  );
}

const ASKED = ['Arrived broken', 'Set', 'Clear, if candled', 'Hatched'];

function ReplySlip({ plumage }: { plumage: readonly string[] }) {
  return (
    <div class="slip-reply">
      {[...ASKED, ...[...new Set(plumage)].slice(0, 6).map((words) => `Chicks, ${words}`), 'Remark'].map(
        (words) => (
          <p key={words} data-long={words === 'Remark' || undefined}>
            {words} <span />
          </p>
        ),
      )}
    </div>
  );
}
