import { useState } from 'preact/hooks';
import { me, type OrderRow, orders, shipments, today, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showDay, showWeekday } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import type { Params } from '../../parts/route.ts';
import { Sheet } from '../../parts/sheet.tsx';
import { called, useCustomers } from '../customers/use-customers.ts';
import { subjectsOfLine } from '../egg-store/take-out.tsx';
import { EntriesOf } from '../entries/entries-of.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import { lineName, planNow } from './now.ts';
import { packedFor, stateOf } from './open-orders.ts';
import { Stands } from './orders.tsx';
import { answerFor, PromiseWords } from './promise-words.tsx';

const AT_LEAST_SURE = 0.9;

export function OrderPage({ order: id = '' }: Params) {
  const order = orders.value.get(id);
  if (!order)
    return (
      <BookPage title="An order" back={{ href: '/orders', name: 'Orders' }}>
        <p>This order has not reached this phone yet.</p>
      </BookPage>
    );
  return <Known order={order} />;
}

function Known({ order }: { order: OrderRow }) {
  const { list } = useCustomers();
  const [day, setDay] = useState(order.promised_for ?? order.wanted_by);
  const [withdrawing, setWithdrawing] = useState(false);
  const [anew, setAnew] = useState(false);
  const { wrong, busy, run } = useWriting();
  const packed = packedFor(order.id, shipments.value.values());
  const state = stateOf(order, packed);
  const owner = me.value?.role === 'owner';
  const open = state === 'asked' || state === 'promised';
  const again = state === 'promised' && (order.promised_eggs !== order.eggs || order.promised_for !== day);
  const wanted = Math.max(0, order.eggs - packed.eggs); // what is in a box is not to be laid again
  const wish = { line: order.line, eggs: wanted, day, oldest: order.oldest_days, but: order.id };
  const answer = answerFor(wish);
  const promise = () =>
    void run(() =>
      write('promised', { order: order.id, eggs: order.eggs, for_day: day, sure: AT_LEAST_SURE }),
    );
  return (
    <BookPage title={`Order ${order.code}`} back={{ href: '/orders', name: 'Orders' }}>
      <div class="spread">
        <section class="stack">
          <p class="lead">
            <b>
              {amount(order.eggs, 'egg')}, {lineName(order.line)}
            </b>
            , wanted by {showWeekday(order.wanted_by)}
            {order.oldest_days !== null && `, at most ${amount(order.oldest_days, 'day')} old`}.
          </p>
          <p>
            {owner && `For ${called(list, order.customer)}. `}Taken {showDay(order.taken_on, today.value)}.
            {order.note !== '' && ` ${order.note}`}
          </p>
          {order.promised_for !== null && (
            <p>
              Promised {showDay(order.promised_on ?? order.taken_on, today.value)}:{' '}
              {amount(order.promised_eggs ?? order.eggs, 'egg')} for {showWeekday(order.promised_for)}.{' '}
              {state === 'promised' && (
                <Stands aside={planNow().find((each) => each.order.id === order.id)} />
              )}
            </p>
          )}
          {order.withdrawn_on !== null && (
            <p class="late">Withdrawn {showDay(order.withdrawn_on, today.value)}.</p>
          )}
          {open && <WaitNotice of="eggs" subjects={subjectsOfLine(order.line)} />}
          {open && owner && (state === 'asked' || anew || order.promised_eggs !== order.eggs) && (
            <>
              <TextField label="Promise it for" type="date" value={day} onText={setDay} />
              {day !== '' && (state === 'asked' || again) && <PromiseWords {...wish} onDay={setDay} />}
            </>
          )}
          {wrong !== null && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          {open && owner && (state === 'asked' || again) && (
            <Button kind="main" disabled={busy || answer.say !== 'yes'} onClick={promise}>
              {answer.say === 'yes' ? `Promise ${amount(order.eggs, 'egg')}` : 'Not sure enough to promise'}
            </Button>
          )}
          {open && me.value?.role !== 'onlooker' && (
            <a class={`button ${state === 'asked' || again ? '' : 'main'}`} href={`/order/${order.id}/pack`}>
              Pack it
            </a>
          )}
          {open && owner && (
            <div class="side-by-side">
              <a class="button" href={`/order/${order.id}/change`}>
                Change
              </a>
              {state === 'promised' && !anew && <Button onClick={() => setAnew(true)}>Promise anew</Button>}
              <Button kind="strike" onClick={() => setWithdrawing(true)}>
                Withdraw
              </Button>
            </div>
          )}
        </section>
        <section class="stack">
          {packed.shipments.length > 0 && (
            <>
              <h2>Packed</h2>
              <Ledger label="Shipments of this order">
                {packed.shipments.map((s) => (
                  <Row
                    key={s.id}
                    href={`/shipment/${s.id}`}
                    margin={<b>{showDay(s.packed_on, today.value)}</b>}
                  >
                    <strong>{s.code}</strong>
                    <span>
                      {amount(
                        s.eggs.reduce((n, e) => n + e.eggs, 0),
                        'egg',
                      )}
                      ,{' '}
                      {s.sent_on === null
                        ? 'to be sent'
                        : `sent ${showDay(s.sent_on, today.value)}, ${s.sent_by}`}
                    </span>
                  </Row>
                ))}
              </Ledger>
            </>
          )}
          <EntriesOf subject={`order/${order.id}`} since={order.taken_on} />
        </section>
      </div>
      {withdrawing && <Withdraw order={order} onClose={() => setWithdrawing(false)} />}
    </BookPage>
  );
}

function Withdraw({ order, onClose }: { order: OrderRow; onClose: () => void }) {
  const [why, setWhy] = useState('');
  const { wrong, busy, run } = useWriting();
  return (
    <Sheet title={`Withdraw order ${order.code}`} onClose={onClose}>
      <p>Its eggs are free for others again. What was written stays readable.</p>
      <TextField label="Why" value={why} onText={setWhy} maxLength={500} hint="No names here." />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button
        kind="strike"
        disabled={busy}
        onClick={() =>
          void run(() => write('order_withdrawn', { order: order.id, why })).then((done) => done && onClose())
        }
      >
        Withdraw it
      </Button>
    </Sheet>
  );
}
