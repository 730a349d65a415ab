import { useState } from 'preact/hooks';
import { type BroodRow, type CageRow, type LineRow, newId, refusal, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  cage?: CageRow;
  brood?: BroodRow;
  line?: LineRow;
  onClose: () => void;
}

const orNull = (day: string) => (day === '' ? null : day);

/** A treatment, and how long eggs and meat wait: days that owner and veterinarian set. Barnbook proposes none. */
export function Treated({ cage, brood, line, onClose }: Props) {
  const [what, setWhat] = useState('');
  const [from, setFrom] = useState(today.value);
  const [to, setTo] = useState('');
  const [eggs, setEggs] = useState('');
  const [meat, setMeat] = useState('');
  const [note, setNote] = useState('');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const keep = () => {
    const body = {
      treatment: newId(),
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
    <Sheet title={`Treatment of ${cage?.code ?? brood?.code ?? line?.name}`} onClose={onClose}>
      <p class="quiet">
        The waits are those that your veterinarian and the label give. Barnbook only warns within them.
      </p>
      <TextField label="What was given" value={what} onText={setWhat} maxLength={200} wrong={at('what')} />
      <div class="side-by-side">
        <TextField label="From" type="date" value={from} onText={setFrom} wrong={at('from_day')} />
        <TextField label="To" type="date" value={to} onText={setTo} wrong={at('to_day')} />
      </div>
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
