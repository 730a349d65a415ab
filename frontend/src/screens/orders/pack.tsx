import { useState } from 'preact/hooks';
import { type Bodies, newId, orders, refusal, shipments, today, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showWeekday } from '../../parts/days.ts';
import { CountField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { limitOf, oldestFirst } from '../egg-store/shelf.ts';
import { subjectsOfLine } from '../egg-store/take-out.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import { lineName, planNow, shelfOfLine } from './now.ts';
import { boundBy, packedFor } from './open-orders.ts';

/** An order into boxes: the oldest sound eggs first that are within their days, each day laid kept apart. */
export function Pack({ order: id = '' }: Params) {
  const order = orders.value.get(id);
  const shelf = order && shelfOfLine(order.line);
  if (!order || !shelf)
    return (
      <BookPage title="Pack" back={{ href: '/orders', name: 'Orders' }}>
        <p>This order has not reached this phone yet.</p>
      </BookPage>
    );
  return <PackOrder order={order} shelf={shelf} />;
}

function PackOrder({
  order,
  shelf,
}: {
  order: NonNullable<ReturnType<typeof orders.value.get>>;
  shelf: NonNullable<ReturnType<typeof shelfOfLine>>;
}) {
  const wanted = Math.max(
    0,
    (order.promised_eggs ?? order.eggs) - packedFor(order.id, shipments.value.values()).eggs,
  );
  const oldest_days = order.oldest_days ?? limitOf(shelf.line);
  const [bound] = useState(() => boundBy(planNow(), { line: order.line, but: order.id }));
  const [laid, setLaid] = useState<Record<string, number>>(() =>
    Object.fromEntries(
      oldestFirst(shelf, { eggs: wanted, on: today.value, oldest_days, taken: new Map(bound) }).map((e) => [
        e.laid_on,
        e.eggs,
      ]),
    ),
  );
  const [code, setCode] = useState(nextCode());
  const [boxes, setBoxes] = useState(0);
  const [holds, setHolds] = useState(0);
  const [packing, setPacking] = useState('');
  const [note, setNote] = useState('');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const [older, setOlder] = useState(false);
  const days = shelf.days.filter((d) => d.left > 0 && d.age_days >= 0);
  const shown = days.filter((d) => older || d.age_days <= oldest_days || (laid[d.laid_on] ?? 0) > 0);
  const total = Object.values(laid).reduce((n, each) => n + each, 0);
  const old = days.reduce((n, d) => n + (d.age_days > oldest_days ? (laid[d.laid_on] ?? 0) : 0), 0);
  const held = days.reduce((n, d) => n + Math.max(0, (laid[d.laid_on] ?? 0) - (d.left - d.withheld)), 0);
  const of_others = days.reduce((n, d) => {
    const free = Math.max(0, d.left - d.withheld - (bound.get(d.laid_on) ?? 0));
    return n + Math.min(bound.get(d.laid_on) ?? 0, Math.max(0, (laid[d.laid_on] ?? 0) - free));
  }, 0);
  const keep = () => {
    const body: Bodies['packed'] = {
      shipment: newId(),
      code: code.trim(),
      customer: order.customer,
      eggs: days
        .filter((d) => (laid[d.laid_on] ?? 0) > 0)
        .map((d) => ({ order: order.id, line: order.line, laid_on: d.laid_on, eggs: laid[d.laid_on] ?? 0 })),
      boxes: boxes === 0 ? null : boxes,
      box_holds: holds === 0 ? null : holds,
      packing: packing.trim(),
      note,
    };
    const no = refusal('packed', body);
    if (no) setWrong(no.detail, no.field);
    else
      void run(() => write('packed', body)).then(
        (done) => done && go(`/shipment/${body.shipment}`, 'replace'),
      );
  };
  return (
    <BookPage title={`Pack ${order.code}`} back={{ href: `/order/${order.id}`, name: order.code }}>
      <p>
        {amount(wanted, 'egg')} of {lineName(order.line)}, at most {amount(oldest_days, 'day')} old: the
        oldest first{bound.size > 0 && ', those set aside for other orders left alone'}.
      </p>
      {order.promised_for === null && (
        <p class="quiet">It was not promised: nothing is kept back for it until it is packed.</p>
      )}
      <WaitNotice of="eggs" subjects={subjectsOfLine(order.line)} />
      <div class="spread">
        <section class="stack">
          <h2>
            By day laid <small class="quiet">{amount(total, 'egg')}</small>
          </h2>
          {days.length === 0 && <p>No eggs of this line are in the store.</p>}
          {shown.map((d) => (
            <CountField
              key={d.laid_on}
              label={showWeekday(d.laid_on)}
              hint={`${d.left} there, ${d.age_days === 0 ? 'of today' : `${amount(d.age_days, 'day')} old`}`}
              value={laid[d.laid_on] ?? 0}
              onCount={(n) => setLaid({ ...laid, [d.laid_on]: n })}
            />
          ))}
          {shown.length < days.length && <Button onClick={() => setOlder(true)}>Older eggs</Button>}
          {old > 0 && <p class="late">{amount(old, 'egg')} older than was asked for.</p>}
          {of_others > 0 && (
            <p class="late">{amount(of_others, 'egg')} of these are set aside for other orders promised.</p>
          )}
          {held > 0 && (
            <Notice kind="refused">
              <p>
                {amount(held, 'egg')} of these were laid within a withdrawal span and are not to be sold. Ask
                the veterinarian who set it.
              </p>
            </Notice>
          )}
        </section>
        <section class="stack">
          <TextField label="Code" value={code} onText={setCode} maxLength={40} wrong={at('code')} />
          <CountField label="Boxes" value={boxes} onCount={setBoxes} wrong={at('boxes')} />
          <CountField
            label="Eggs a box holds"
            value={holds}
            onCount={setHolds}
            wrong={at('box_holds')}
            hint="So that breaking in transit can be told by the size of the box."
          />
          <TextField
            label="Packing"
            value={packing}
            onText={setPacking}
            maxLength={80}
            hint="Foam, pulp, sawdust ..."
          />
          <TextField label="Note" value={note} onText={setNote} maxLength={500} hint="No names here." />
        </section>
      </div>
      {total !== wanted && total > 0 && (
        <p class="late">
          {total < wanted ? `${wanted - total} fewer` : `${total - wanted} more`} than {wanted}.
        </p>
      )}
      {wrong !== null && !['code', 'boxes', 'box_holds'].includes(field ?? '') && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <Button kind="main" disabled={busy || total === 0 || code.trim() === ''} onClick={keep}>
        {total === 0 ? 'At least one egg' : `Packed: ${amount(total, 'egg')}`}
      </Button>
    </BookPage>
  );
}

/** The next number of this year's boxes: P26-09. */
function nextCode(): string {
  const year = `P${today.value.slice(2, 4)}-`;
  const taken = [...shipments.value.values()].flatMap((s) =>
    s.code.startsWith(year) ? [Number(s.code.slice(year.length)) || 0] : [],
  );
  return `${year}${String(Math.max(0, ...taken) + 1).padStart(2, '0')}`;
}
