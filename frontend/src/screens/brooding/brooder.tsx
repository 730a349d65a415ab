import { useState } from 'preact/hooks';
import { type BroodRow, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { brooderWarmth } from './warmth.ts';

/** Which brooder the chicks are in, how warm it should be at their age, and how warm it is. */
export function Brooder({ brood, onClose }: { brood: BroodRow; onClose: () => void }) {
  const [to, setTo] = useState(brood.brooder);
  const [warm, setWarm] = useState('');
  const { wrong, busy, run } = useWriting();
  const age = daysFrom(brood.hatched_on, today.value);
  const c = warm.trim() === '' ? null : Number(warm.trim().replace(',', '.'));
  const bad = c !== null && !Number.isFinite(c);
  const moved = to.trim() !== '' && to.trim() !== brood.brooder;
  const keep = () =>
    run(async () => {
      if (moved) await write('brooder_moved', { brood: brood.id, to: to.trim(), note: '' });
      if (c !== null)
        await write('lights_and_heat', {
          row: null,
          brood: brood.id,
          light_hours: null,
          temperature_c: c,
          note: '',
        });
    }).then((done) => done && onClose());
  return (
    <Sheet title={`Brooder of ${brood.code}`} onClose={onClose}>
      <p>
        Day {age}: {brooderWarmth(age)}.{' '}
        <small>
          Mississippi State University; another source starts at 35 °C and falls 3.5 °C a week. Go by the
          chicks.
        </small>
      </p>
      <TextField label="Brooder" value={to} onText={setTo} maxLength={40} />
      <TextField
        label="Measured, °C"
        value={warm}
        onText={setWarm}
        inputMode="decimal"
        hint="May be left empty."
        wrong={bad ? 'Type a temperature such as 33.5.' : null}
      />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || bad || (!moved && c === null)} onClick={keep}>
        Write it down
      </Button>
    </Sheet>
  );
}
