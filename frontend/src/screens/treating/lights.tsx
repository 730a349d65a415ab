import { useState } from 'preact/hooks';
import { write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

const number = (text: string): number | null =>
  text.trim() === '' ? null : Number(text.trim().replace(',', '.'));

/** Hours of light and warmth, of a row of cages or of the whole barn. */
export function Lights({ row, onClose }: { row: string; onClose: () => void }) {
  const [of, setOf] = useState<'row' | 'barn'>('row');
  const [hours, setHours] = useState('');
  const [warm, setWarm] = useState('');
  const { wrong, busy, run } = useWriting();
  const [light_hours, temperature_c] = [number(hours), number(warm)];
  const keep = () =>
    run(() =>
      write('lights_and_heat', {
        row: of === 'row' ? row : null,
        brood: null,
        light_hours,
        temperature_c,
        note: '',
      }),
    ).then((done) => done && onClose());
  return (
    <Sheet title="Lights and heat" onClose={onClose}>
      <Choice
        label="Of"
        value={of}
        onChoose={setOf}
        options={[
          { value: 'row', name: `Row ${row}` },
          { value: 'barn', name: 'The whole barn' },
        ]}
      />
      <TextField label="Hours of light a day" value={hours} onText={setHours} inputMode="decimal" />
      <TextField
        label="Warmth, °C"
        value={warm}
        onText={setWarm}
        inputMode="decimal"
        hint="One of the two is enough."
      />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || (light_hours === null && temperature_c === null)} onClick={keep}>
        Write it down
      </Button>
    </Sheet>
  );
}
