import { useState } from 'preact/hooks';
import { type Bodies, lines, newId, orders, refusal, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { dayAfter } from '../../parts/days.ts';
import { CountField, PickField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { PickCustomer } from '../customers/pick-customer.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { PromiseWords } from './promise-words.tsx';

/** An order taken, or changed: what is promised stays promised until it is promised anew. */
export function OrderForm({ order: id }: Params) {
  const now = id === undefined ? undefined : orders.value.get(id);
  const [code, setCode] = useState(now?.code ?? nextCode());
  const [customer, setCustomer] = useState(now?.customer ?? null);
  const [line, setLine] = useState(now?.line ?? (lines.value.length === 1 ? (lines.value[0]?.id ?? '') : ''));
  const [eggs, setEggs] = useState(now?.eggs ?? 24);
  const [wanted, setWanted] = useState(now?.wanted_by ?? dayAfter(today.value, 7));
  const [oldest, setOldest] = useState(now?.oldest_days ?? 0);
  const [note, setNote] = useState(now?.note ?? '');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const keep = () => {
    const body: Bodies['order_taken'] = {
      order: now?.id ?? newId(),
      code: code.trim(),
      customer,
      line,
      eggs,
      wanted_by: wanted,
      oldest_days: oldest === 0 ? null : oldest,
      note,
    };
    const no = refusal('order_taken', body);
    if (no) setWrong(no.detail, no.field);
    else
      void run(() => write('order_taken', body)).then(
        (done) => done && go(`/order/${body.order}`, 'replace'),
      );
  };
  return (
    <BookPage
      title={now ? `Change order ${now.code}` : 'An order'}
      back={now ? { href: `/order/${now.id}`, name: now.code } : { href: '/orders', name: 'Orders' }}
    >
      <div class="spread">
        <section class="stack">
          <PickField
            label="Eggs of"
            value={line}
            onPick={setLine}
            options={[
              { value: '', name: 'Which line?' },
              ...lines.value.map((l) => ({ value: l.id, name: l.name })),
            ]}
          />
          <CountField label="Eggs" value={eggs} onCount={setEggs} most={9999} wrong={at('eggs')} />
          <TextField
            label="Wanted by"
            type="date"
            value={wanted}
            onText={setWanted}
            wrong={at('wanted_by')}
          />
          {line !== '' && wanted !== '' && (
            <PromiseWords
              line={line}
              eggs={eggs}
              day={wanted}
              oldest={oldest || null}
              but={now?.id}
              onDay={setWanted}
            />
          )}
        </section>
        <section class="stack">
          <PickCustomer value={customer} onPick={setCustomer} />
          <TextField label="Code" value={code} onText={setCode} maxLength={40} wrong={at('code')} />
          <CountField
            label="Oldest, in days"
            value={oldest}
            onCount={setOldest}
            most={60}
            hint="0: as old as the line keeps its eggs."
          />
          <TextField
            label="Note"
            value={note}
            onText={setNote}
            maxLength={500}
            hint="No names here: people outside the barn are not in the journal."
          />
        </section>
      </div>
      {wrong !== null && !['eggs', 'wanted_by', 'code'].includes(field ?? '') && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <Button
        kind="main"
        disabled={busy || line === '' || eggs === 0 || code.trim() === '' || wanted === ''}
        onClick={keep}
      >
        {line === '' ? 'Say which line' : eggs === 0 ? 'At least one egg' : 'Write the order down'}
      </Button>
    </BookPage>
  );
}

/** The next number of this year: 26-08. */
function nextCode(): string {
  const year = today.value.slice(2, 4);
  const taken = [...orders.value.values()].flatMap((o) =>
    o.code.startsWith(`${year}-`) ? [Number(o.code.slice(3)) || 0] : [],
  );
  return `${year}-${String(Math.max(0, ...taken) + 1).padStart(2, '0')}`;
}
