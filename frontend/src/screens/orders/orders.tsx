import { me, type OrderRow, orders, shipments, today } from '../../book/index.ts';
import { showDistance } from '../../parts/ages.ts';
import { amount } from '../../parts/amount.ts';
import { showDay, showWeekday } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { called, useCustomers } from '../customers/use-customers.ts';
import { BookPage } from '../frame/book-page.tsx';
import { lineName, planNow, sureNow } from './now.ts';
import { dayOf, packedFor, type SetAside, stateOf } from './open-orders.ts';
import { Mornings } from './this-morning.tsx';

const DONE_SHOWN = 10;
const LEAST_SURE = 0.9;

/** Orders by day, with what to set aside for each; those asked for and not promised; those that are done. */
export function Orders() {
  const { list } = useCustomers();
  const plan = planNow();
  const boxes = [...shipments.value.values()];
  const all = [...orders.value.values()]
    .map((order) => ({ order, state: stateOf(order, packedFor(order.id, boxes)) }))
    .sort((a, b) => dayOf(a.order).localeCompare(dayOf(b.order)));
  const open = all.filter(({ state }) => state === 'promised' || state === 'packed');
  const asked = all.filter(({ state }) => state === 'asked');
  const done = all.filter(({ state }) => state === 'sent' || state === 'withdrawn').reverse();
  const who = (order: OrderRow) =>
    order.customer === null || !list ? '' : `, ${called(list, order.customer)}`;
  const others = boxes.filter((b) => b.sent_on === null && b.eggs.every((e) => e.order === null));
  return (
    <BookPage title="Orders">
      {me.value?.role === 'owner' && (
        <a class="button main" href="/orders/new">
          Take an order
        </a>
      )}
      {all.length === 0 && (
        <p>
          No orders yet. An order is promised where the hens are at least 90 in 100 sure to lay it in time.
        </p>
      )}
      <Mornings plan={plan} />
      {open.length > 0 && (
        <section class="stack">
          <h2>{open.some(({ state }) => state === 'packed') ? 'Promised or packed' : 'Promised'}</h2>
          <Ledger label="Orders promised, by day">
            {open.map(({ order, state }) => (
              <Row key={order.id} href={`/order/${order.id}`} margin={<Day day={dayOf(order)} />}>
                <strong>
                  {amount(order.promised_eggs ?? order.eggs, 'egg')}, {lineName(order.line)}
                </strong>
                <span>
                  Order {order.code}
                  {who(order)}
                </span>
                {state === 'packed' ? (
                  <small>Packed{order.promised_for === null && ' without a promise'}; to be sent.</small>
                ) : (
                  <Stands aside={plan.find((each) => each.order.id === order.id)} />
                )}
              </Row>
            ))}
          </Ledger>
        </section>
      )}
      {asked.length > 0 && (
        <section class="stack">
          <h2>Asked for, not promised</h2>
          <Ledger label="Orders not promised, by the day they are wanted">
            {asked.map(({ order }) => (
              <Row key={order.id} href={`/order/${order.id}`} margin={<Day day={order.wanted_by} />}>
                <strong>
                  {amount(order.eggs, 'egg')}, {lineName(order.line)}
                </strong>
                <span>
                  Order {order.code}
                  {who(order)}
                </span>
                <small>Taken {showDay(order.taken_on, today.value)}.</small>
              </Row>
            ))}
          </Ledger>
        </section>
      )}
      {others.length > 0 && (
        <section class="stack">
          <h2>Packed for no order</h2>
          <Ledger label="Boxes packed for no order">
            {others.map((box) => (
              <Row key={box.id} href={`/shipment/${box.id}`} margin={<Day day={box.packed_on} />}>
                <strong>
                  {amount(
                    box.eggs.reduce((n, e) => n + e.eggs, 0),
                    'egg',
                  )}
                </strong>
                <span>{box.code}</span>
              </Row>
            ))}
          </Ledger>
        </section>
      )}
      {done.length > 0 && (
        <section class="stack">
          <h2>Done</h2>
          <Ledger label="Orders sent or withdrawn, the newest first">
            {done.slice(0, DONE_SHOWN).map(({ order, state }) => (
              <Row key={order.id} href={`/order/${order.id}`} margin={<Day day={dayOf(order)} done />}>
                <strong>
                  {amount(order.promised_eggs ?? order.eggs, 'egg')}, {lineName(order.line)}
                </strong>
                <span>
                  Order {order.code}
                  {who(order)}, {state}
                </span>
              </Row>
            ))}
          </Ledger>
        </section>
      )}
    </BookPage>
  );
}

const Day = ({ day, done = false }: { day: string; done?: boolean }) => {
  const [weekday = '', ...rest] = showWeekday(day).replace(',', '').split(' ');
  return (
    <>
      <b class={!done && day < today.value ? 'late' : undefined}>{rest.join(' ')}</b>
      {weekday}
    </>
  );
};

/** How an order stands: eggs here and to come, and whether the house is still sure. */
export function Stands({ aside }: { aside: SetAside | undefined }) {
  if (!aside) return null;
  const now = sureNow(aside.order.id);
  const unsure = now !== undefined && now.sure < LEAST_SURE;
  return (
    <small>
      {aside.here} of {aside.wanted} in the store, {showDistance(aside.on, today.value)}.{' '}
      {now === undefined ? (
        'The house has not reckoned it yet.'
      ) : (
        <span class={unsure ? 'late' : undefined}>
          {Math.round(now.sure * 100)} % sure now
          {unsure && now.short > 0 && `; in one future of ten ${amount(now.short, 'egg')} or more short`}.
        </span>
      )}
    </small>
  );
}
