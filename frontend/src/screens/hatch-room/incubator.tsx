import { useState } from 'preact/hooks';
import { type SettingRow, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { readGauge } from './gauge.ts';

/** What the incubator's own gauges show. Either may be left empty. */
export function Incubator({ setting, onClose }: { setting: SettingRow; onClose: () => void }) {
  const [warm, setWarm] = useState('');
  const [moist, setMoist] = useState('');
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const c = readGauge(warm, { least: -40, most: 60 });
  const percent = readGauge(moist, { least: 0, most: 100 });
  const bad = c === 'wrong' || percent === 'wrong';
  const keep = () =>
    run(async () => {
      if (c === 'wrong' || percent === 'wrong') return;
      await write('incubator_read', {
        setting: setting.id,
        temperature_c: c,
        humidity_percent: percent,
        note,
      });
    }).then((done) => done && onClose());
  return (
    <Sheet title={`Incubator ${setting.incubator}`.trim()} onClose={onClose}>
      <p class="quiet">
        37.5 to 37.7 °C with a fan; 50 to 60 % moisture while set, 70 to 80 % at the hatch (a review,
        journals.usamvcluj.ro, zootehnie 5280). Your incubator’s maker may say otherwise.
      </p>
      <TextField
        label="Warmth, °C"
        value={warm}
        onText={setWarm}
        inputMode="decimal"
        wrong={c === 'wrong' ? 'Type degrees Celsius such as 37.6.' : null}
      />
      <TextField
        label="Moisture, %"
        value={moist}
        onText={setMoist}
        inputMode="decimal"
        wrong={percent === 'wrong' ? 'Type a percentage such as 55.' : null}
      />
      <TextField label="Note" value={note} onText={setNote} maxLength={500} />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button
        kind="main"
        disabled={busy || bad || (c === null && percent === null)}
        onClick={() => void keep()}
      >
        Write it down
      </Button>
    </Sheet>
  );
}
