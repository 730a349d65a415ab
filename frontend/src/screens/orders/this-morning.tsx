import { orders, type ShipmentRow, shipments, today } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { dayAfter, showDay, showWeekday } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { lineName, planNow, sureNow } from './now.ts';
import { eggsIn, type SetAside } from './open-orders.ts';

const LEAST_SURE = 0.9;

/** What to set aside of the newest eggs, for which order; what is to be packed and sent; and the orders of which the house
 *  is no longer sure. */
export function Mornings({ plan }: { plan: readonly SetAside[] }) {
  const rows = plan.flatMap((each) => {
    const fresh = each.eggs.filter((e) => e.laid_on >= dayAfter(today.value, -1));
    const now = fresh.reduce((n, e) => n + e.eggs, 0);
    const said = sureNow(each.order.id);
    const shaky = said !== undefined && said.sure < LEAST_SURE ? said : null;
    return now > 0 || shaky || each.on <= today.value ? [{ each, now, shaky }] : [];
  });
  const boxes = [...shipments.value.values()].filter((box) => box.sent_on === null);
  if (rows.length + boxes.length === 0) return null;
  return (
    <section class="stack">
      <h2>Orders this morning</h2>
      <Ledger narrow label="Eggs to set aside, to pack and to send, by order">
        {boxes.map((box) => (
          <Row key={box.id} href={`/shipment/${box.id}`} margin={<Eggs n={eggsIn(box)} />}>
            <strong>Send {box.code}</strong>
            <span>
              Packed {showDay(box.packed_on, today.value)}
              {codesOf(box)}
            </span>
          </Row>
        ))}
        {rows.map(({ each, now, shaky }) => (
          <Row key={each.order.id} href={`/order/${each.order.id}`} margin={<Eggs n={now} />}>
            <strong>
              {each.on <= today.value ? 'Pack' : 'Set aside for'} {each.order.code},{' '}
              {lineName(each.order.line)}
            </strong>
            <span>
              {each.here} of {each.wanted} by {showWeekday(each.on)}
            </span>
            {shaky && (
              <small class="late">
                Only {Math.round(shaky.sure * 100)} % sure now
                {shaky.short > 0 && `, ${amount(shaky.short, 'egg')} or more short in one future of ten`}.
                Tell the customer before {showDay(each.on, today.value)}.
              </small>
            )}
          </Row>
        ))}
      </Ledger>
    </section>
  );
}

const Eggs = ({ n }: { n: number }) => (
  <>
    <b>{n}</b>
    {n === 1 ? 'egg' : 'eggs'}
  </>
);

function codesOf(box: ShipmentRow): string {
  const codes = [...new Set(box.eggs.flatMap((e) => orders.value.get(e.order ?? '')?.code ?? []))];
  return codes.length === 0 ? '' : `, order ${codes.join(', ')}`;
}

export const ThisMorning = () => <Mornings plan={planNow()} />;
