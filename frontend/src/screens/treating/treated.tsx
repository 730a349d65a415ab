import { useState } from 'preact/hooks';
import {
  type BroodRow,
  type CageRow,
  type LineRow,
  newId,
  refusal,
  today,
  type WithdrawalRow,
  write,
} from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  cage?: CageRow;
  brood?: BroodRow;
  line?: LineRow;
  /** One written before, to be changed: it is written again whole, under its own id. */
  before?: WithdrawalRow;
  onClose: () => void;
}

const orNull = (day: string) => (day === '' ? null : day);

/** A treatment, and how long eggs and meat wait: days that owner and veterinarian set. Barnbook proposes none. */
export function Treated({ cage, brood, line, before, onClose }: Props) {
  const [what, setWhat] = useState(before?.what ?? '');
  const [from, setFrom] = useState(before?.first_day ?? today.value);
  const [to, setTo] = useState(before?.last_day ?? '');
  const [eggs, setEggs] = useState(before?.eggs_until ?? '');
  const [meat, setMeat] = useState(before?.meat_until ?? '');
  const [note, setNote] = useState(before?.note ?? '');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const keep = () => {
    const body = {
      treatment: before?.id ?? newId(),
      cage: cage?.id ?? null,
      brood: brood?.id ?? null,
      line: line?.id ?? null,
      what: what.trim(),
      from_day: from,
      to_day: orNull(to),
      eggs_until: orNull(eggs),
      meat_until: orNull(meat),
      note,
    };
    const no = refusal('treated', body);
    if (no) setWrong(no.detail, no.field);
    else void run(() => write('treated', body)).then((done) => done && onClose());
  };
  return (
    <Sheet
      title={`${before ? 'Change the treatment' : 'Treatment'} of ${cage?.code ?? brood?.code ?? line?.name}`}
      onClose={onClose}
    >
      <p class="quiet">
        The waits are those that your veterinarian and the label give. Barnbook only warns within them.
      </p>
      <TextField label="What was given" value={what} onText={setWhat} maxLength={200} wrong={at('what')} />
      <div class="side-by-side">
        <TextField label="From" type="date" value={from} onText={setFrom} wrong={at('from_day')} />
        <TextField label="To" type="date" value={to} onText={setTo} wrong={at('to_day')} />
      </div>
      {before && to !== today.value && <Button onClick={() => setTo(today.value)}>It ends today</Button>}
      <TextField
        label="Eggs wait until"
        type="date"
        value={eggs}
        onText={setEggs}
        hint="That day still within. Empty: no wait was set."
        wrong={at('eggs_until')}
      />
      <TextField
        label="Meat waits until"
        type="date"
        value={meat}
        onText={setMeat}
        wrong={at('meat_until')}
      />
      <TextField label="Note" value={note} onText={setNote} maxLength={500} />
      {wrong !== null && field === null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || what.trim() === '' || from === ''} onClick={keep}>
        Write it down
      </Button>
    </Sheet>
  );
}
