import { useState } from 'preact/hooks';
import { me, orders, type ShipmentRow, shipments, today, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom, showDay, showWeekday } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { called, useCustomers } from '../customers/use-customers.ts';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { lineName } from './now.ts';
import { eggsIn } from './open-orders.ts';
import { ReportOf } from './report.tsx';
import { RULES } from './slip-words.ts';

export function ShipmentPage({ shipment: id = '' }: Params) {
  const shipment = shipments.value.get(id);
  if (!shipment)
    return (
      <BookPage title="A shipment" back={{ href: '/orders', name: 'Orders' }}>
        <p>This shipment has not reached this phone yet.</p>
      </BookPage>
    );
  return <Known shipment={shipment} />;
}

function Known({ shipment }: { shipment: ShipmentRow }) {
  const { list } = useCustomers();
  const [by, setBy] = useState(shipment.sent_by);
  const { wrong, busy, run } = useWriting();
  const writes = me.value?.role !== 'onlooker';
  const of = [...new Set(shipment.eggs.flatMap((e) => (e.order === null ? [] : [e.order])))];
  return (
    <BookPage title={`Shipment ${shipment.code}`} back={{ href: '/orders', name: 'Orders' }}>
      <div class="spread">
        <section class="stack">
          <p class="lead">
            <b>{amount(eggsIn(shipment), 'egg')}</b>
            {shipment.boxes !== null &&
              ` in ${amount(shipment.boxes, 'box', 'boxes')} of ${shipment.box_holds}`}
            {shipment.packing !== '' && `, ${shipment.packing}`}, packed{' '}
            {showDay(shipment.packed_on, today.value)}.
          </p>
          <p>
            {me.value?.role === 'owner' && `For ${called(list, shipment.customer)}. `}
            {of.map((id) => (
              <a key={id} href={`/order/${id}`}>
                Order {orders.value.get(id)?.code ?? '(not here yet)'}
              </a>
            ))}
          </p>
          <Ledger narrow label="Eggs in it, by line and day laid">
            {shipment.eggs.map((e) => (
              <Row key={`${e.order} ${e.line} ${e.laid_on}`} margin={<b>{e.eggs}</b>}>
                <span>{lineName(e.line)}</span>
                <small>
                  {e.laid_on === null
                    ? 'Laid on a day that nobody gave'
                    : `Laid ${showWeekday(e.laid_on)}, ${amount(daysFrom(e.laid_on, shipment.packed_on), 'day')} old when packed`}
                </small>
              </Row>
            ))}
          </Ledger>
          <a class="button" href={`/shipment/${shipment.id}/slip`}>
            The slip to print
          </a>
          {shipment.sent_on !== null ? (
            <p>
              Sent {showWeekday(shipment.sent_on)}, {shipment.sent_by}.
            </p>
          ) : (
            writes && (
              <>
                <Notice>
                  <p>{RULES}</p>
                </Notice>
                <TextField
                  label="How it goes"
                  value={by}
                  onText={setBy}
                  maxLength={80}
                  hint="By post, by a carrier, fetched at the gate."
                />
                {wrong !== null && <p class="late">{wrong}</p>}
                <Button
                  kind="main"
                  disabled={busy || by.trim() === ''}
                  onClick={() =>
                    void run(() => write('sent', { shipment: shipment.id, by: by.trim(), note: '' }))
                  }
                >
                  {by.trim() === '' ? 'Say how it goes' : 'Sent today'}
                </Button>
              </>
            )
          )}
        </section>
        <section class="stack">
          <ReportOf shipment={shipment} />
          <EntriesOf subject={`shipment/${shipment.id}`} since={shipment.packed_on} />
        </section>
      </div>
    </BookPage>
  );
}
