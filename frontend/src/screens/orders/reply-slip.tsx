import { useState } from 'preact/hooks';
import {
  type LineReported,
  lines,
  me,
  refusal,
  type ShipmentRow,
  shipments,
  write,
} from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { type Typed, typedOf, understood } from './reply.ts';
import './reply-slip.css';

/** The reply slip, typed in by the owner: the same numbers as the customer's own page. Works without signal. */
export function ReplySlip({ shipment: id = '' }: Params) {
  const shipment = shipments.value.get(id);
  const back = { href: `/shipment/${id}`, name: shipment?.code ?? 'Shipment' };
  return (
    <BookPage title="Reply slip" back={back}>
      <OwnersOnly>
        {shipment ? <Filling shipment={shipment} /> : <p>This shipment has not reached this phone yet.</p>}
      </OwnersOnly>
    </BookPage>
  );
}

function Filling({ shipment }: { shipment: ShipmentRow }) {
  const [typed, setTyped] = useState<Typed[]>(() => typedOf(shipment, lines.value));
  const { wrong, busy, run, setWrong } = useWriting();
  const set = (at: number, change: (t: Typed) => Typed) =>
    setTyped((before) => before.map((t, i) => (i === at ? change(t) : t)));
  const keep = () => {
    const said: LineReported[] | string = understood(typed);
    if (typeof said === 'string') return setWrong(said);
    const body = { shipment: shipment.id, lines: said, slip: true };
    const no = refusal('hatch_reported', body);
    if (no) return setWrong(no.detail);
    void run(() => write('hatch_reported', body)).then(
      (done) => done && go(`/shipment/${shipment.id}`, 'replace'),
    );
  };
  if (me.value?.role !== 'owner') return null;
  return (
    <section class="stack reply-slip">
      <p class="quiet">As the customer wrote it. What was not said stays empty.</p>
      {typed.map((t, at) => (
        <section class="stack" key={t.line}>
          <h2>
            {t.name} <small class="quiet">{amount(t.sent, 'egg')} sent</small>
          </h2>
          {(['broken', 'set', 'clear', 'hatched'] as const).map((field) => (
            <TextField
              key={field}
              beside
              label={LABELS[field]}
              inputMode="numeric"
              value={t[field]}
              onText={(text) => set(at, (before) => ({ ...before, [field]: text }))}
              maxLength={4}
            />
          ))}
          {t.plumage.length > 1 && <h3>Of the chicks</h3>}
          {(t.plumage.length > 1 ? t.plumage : []).map((c, i) => (
            <TextField
              key={c.key}
              beside
              label={c.words}
              inputMode="numeric"
              value={c.chicks}
              onText={(text) =>
                set(at, (before) => ({
                  ...before,
                  plumage: before.plumage.map((p, j) => (j === i ? { ...p, chicks: text } : p)),
                }))
              }
              maxLength={4}
            />
          ))}
        </section>
      ))}
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <Button kind="main" disabled={busy} onClick={keep}>
        Write it down
      </Button>
    </section>
  );
}

const LABELS = {
  broken: 'Arrived broken',
  set: 'Set',
  clear: 'Clear, if candled',
  hatched: 'Hatched',
} as const;
