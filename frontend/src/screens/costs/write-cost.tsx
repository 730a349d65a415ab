import { useState } from 'preact/hooks';
import { type Bodies, broods, cages, lines, me, refusal, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { CountField, PickField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { asNumber, lastCurrency, rememberCurrency } from './typed.ts';

type What = 'feed_fed' | 'feed_bought' | 'expense';
type Part = Bodies['expense']['part'];

const PARTS: { value: Part; name: string }[] = [
  { value: 'laying', name: 'Laying' },
  { value: 'hatching', name: 'Hatching' },
  { value: 'rearing', name: 'Rearing' },
  { value: 'processing', name: 'Processing' },
];

/** Feed fed, feed bought, another expense: written on the phone, with or without signal. */
export function WriteCost() {
  const [what, setWhat] = useState<What>('feed_fed');
  const owner = me.value?.role === 'owner';
  return (
    <BookPage title="Feed and expenses" back={{ href: '/costs', name: 'Costs' }}>
      <section class="stack">
        <Choice
          label="What is written down"
          labelOnlyRead
          value={what}
          onChoose={setWhat}
          options={[
            { value: 'feed_fed', name: 'Feed fed' },
            { value: 'feed_bought', name: 'Feed bought' },
            ...(owner ? [{ value: 'expense' as const, name: 'Expense' }] : []),
          ]}
        />
        {what === 'feed_fed' && <Fed />}
        {what === 'feed_bought' && <Bought />}
        {what === 'expense' && <Expense />}
      </section>
    </BookPage>
  );
}

/** Writes a body on a day, and says that it is written; the fields are emptied by `done`. */
function useKeeping<K extends What>(kind: K, done: () => void) {
  const [day, setDay] = useState(today.value);
  const [kept, setKept] = useState(0);
  const { wrong, field, busy, run, setWrong } = useWriting();
  return {
    day,
    setDay,
    kept,
    wrong,
    busy,
    at: (name: string) => (field === name ? wrong : null),
    keep(body: Bodies[K] | string) {
      if (typeof body === 'string') return setWrong(body);
      if (day > today.value) return setWrong('That day is still to come.', 'day');
      const no = refusal(kind, body);
      if (no) return setWrong(no.detail, no.field);
      void run(() => write(kind, body, { day })).then((good) => {
        if (!good) return;
        setKept((n) => n + 1);
        done();
      });
    },
  };
}

type Keeping = ReturnType<typeof useKeeping>;

function End({ keeping, ready, onKeep }: { keeping: Keeping; ready: boolean; onKeep: () => void }) {
  return (
    <>
      {keeping.wrong !== null && (
        <Notice kind="refused">
          <p>{keeping.wrong}</p>
        </Notice>
      )}
      <Button kind="main" disabled={keeping.busy || !ready} onClick={onKeep}>
        Write it down
      </Button>
      {keeping.kept > 0 && <p role="status">Written down.</p>}
    </>
  );
}

interface AmountProps {
  label: string;
  value: string;
  onText: (text: string) => void;
  hint?: string;
  wrong: string | null;
}

/** Kilograms or money, typed with the point or the comma of the reader. */
const Amount = (props: AmountProps) => <TextField inputMode="decimal" maxLength={9} {...props} />;

const OnDay = ({ label, keeping }: { label: string; keeping: Keeping }) => (
  <TextField
    label={label}
    type="date"
    value={keeping.day}
    onText={keeping.setDay}
    wrong={keeping.at('day')}
  />
);

interface CurrencyProps {
  value: string;
  onText: (text: string) => void;
  keeping: Keeping;
}

const Currency = ({ keeping, ...typed }: CurrencyProps) => (
  <TextField label="Currency" maxLength={8} wrong={keeping.at('currency')} {...typed} />
);

function Fed() {
  const [who, setWho] = useState('');
  const [kg, setKg] = useState('');
  const [days, setDays] = useState(7);
  const keeping = useKeeping('feed_fed', () => setKg(''));
  const rows = [...new Set(cages.value.filter((c) => !c.closed).map((c) => c.row))].sort();
  const young = broods.value.filter((b) => b.alive > 0);
  const [sort, id] = who.split('/');
  const keep = () => {
    const number = asNumber(kg);
    keeping.keep(
      number === null
        ? 'How many kilograms? A number such as 14.5.'
        : {
            row: sort === 'row' ? (id ?? null) : null,
            brood: sort === 'brood' ? (id ?? null) : null,
            kg: number,
            days,
            note: '',
          },
    );
  };
  return (
    <>
      <PickField
        label="Who ate it"
        value={who}
        onPick={setWho}
        options={[
          { value: '', name: 'All the cages' },
          ...rows.map((row) => ({ value: `row/${row}`, name: `Cages of row ${row}` })),
          ...young.map((b) => ({ value: `brood/${b.id}`, name: `Brood ${b.code}` })),
        ]}
        hint="What all the cages ate is shared out among the lines by bird-days."
      />
      <Amount label="Kilograms" value={kg} onText={setKg} wrong={keeping.at('kg')} />
      <CountField
        label="In how many days"
        value={days}
        onCount={setDays}
        most={92}
        wrong={keeping.at('days')}
      />
      <OnDay label="The last of them" keeping={keeping} />
      <End keeping={keeping} ready={kg.trim() !== '' && days > 0} onKeep={keep} />
    </>
  );
}

function Bought() {
  const [what, setWhat] = useState('');
  const [kg, setKg] = useState('');
  const [paid, setPaid] = useState('');
  const [currency, setCurrency] = useState(lastCurrency());
  const keeping = useKeeping('feed_bought', () => {
    setKg('');
    setPaid('');
    rememberCurrency(currency.trim());
  });
  const keep = () => {
    const number = asNumber(kg);
    const price = paid.trim() === '' ? null : asNumber(paid);
    if (number === null) return keeping.keep('How many kilograms? A number such as 25.');
    if (paid.trim() !== '' && price === null)
      return keeping.keep('What was paid? A number such as 18.50, or nothing.');
    keeping.keep({
      what: what.trim(),
      kg: number,
      paid: price,
      currency: price === null ? null : currency.trim(),
      note: '',
    });
  };
  return (
    <>
      <TextField
        label="Feed"
        value={what}
        onText={setWhat}
        maxLength={80}
        hint="Layer crumble, for instance."
      />
      <Amount label="Kilograms" value={kg} onText={setKg} wrong={keeping.at('kg')} />
      <Amount label="Paid" value={paid} onText={setPaid} hint="For all of it." wrong={keeping.at('paid')} />
      <Currency value={currency} onText={setCurrency} keeping={keeping} />
      <OnDay label="On" keeping={keeping} />
      <End keeping={keeping} ready={kg.trim() !== ''} onKeep={keep} />
    </>
  );
}

function Expense() {
  const [part, setPart] = useState<Part>('laying');
  const [what, setWhat] = useState('');
  const [line, setLine] = useState('');
  const [amount, setAmount] = useState('');
  const [currency, setCurrency] = useState(lastCurrency());
  const keeping = useKeeping('expense', () => {
    setWhat('');
    setAmount('');
    rememberCurrency(currency.trim());
  });
  const keep = () => {
    const number = asNumber(amount);
    keeping.keep(
      number === null
        ? 'How much? A number such as 6.50.'
        : {
            part,
            what: what.trim(),
            line: line || null,
            amount: number,
            currency: currency.trim(),
            note: '',
          },
    );
  };
  return (
    <>
      <Choice label="For" value={part} onChoose={setPart} options={PARTS} />
      <TextField
        label="What"
        value={what}
        onText={setWhat}
        maxLength={80}
        hint="Cartons, power, straw."
        wrong={keeping.at('what')}
      />
      <PickField
        label="Whose"
        value={line}
        onPick={setLine}
        options={[
          { value: '', name: 'Shared among the lines' },
          ...lines.value.map((l) => ({ value: l.id, name: l.name })),
        ]}
      />
      <Amount label="Amount" value={amount} onText={setAmount} wrong={keeping.at('amount')} />
      <Currency value={currency} onText={setCurrency} keeping={keeping} />
      <OnDay label="On" keeping={keeping} />
      <End keeping={keeping} ready={what.trim() !== '' && amount.trim() !== ''} onKeep={keep} />
    </>
  );
}
