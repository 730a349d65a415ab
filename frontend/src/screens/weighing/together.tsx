import { useState } from 'preact/hooks';
import { type BroodRow, doubt, type Entry, type Kind, write } from '../../book/index.ts';
import { amounts } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { showWeight, toGrams, typedNumber, type Unit } from '../../parts/weight.ts';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  brood: BroodRow;
  unit: Unit;
  onClose: () => void;
  onWritten: (entry: Entry<Kind>, said: string) => void;
}

/** A batch of unbanded birds on the scale at once: only their mean is known of it. */
export function Together({ brood, unit, onClose, onWritten }: Props) {
  const [hens, setHens] = useState(0);
  const [cocks, setCocks] = useState(0);
  const [unsexed, setUnsexed] = useState(0);
  const [typed, setTyped] = useState('');
  const [doubted, setDoubted] = useState<string | null>(null);
  const { wrong, busy, run } = useWriting();
  const value = typedNumber(typed);
  const birds = hens + cocks + unsexed;
  const grams = value === null ? null : toGrams(value, unit);
  const keep = () => {
    if (grams === null) return;
    const body = { brood: brood.id, hens, cocks, unsexed, grams, typed: { value: typed.trim(), unit } };
    const said = doubted === null ? doubt('birds_weighed', body) : null;
    if (said !== null) return setDoubted(said);
    void run(async () => {
      const entry = await write('birds_weighed', body);
      const heads = amounts([
        [hens, 'hen'],
        [cocks, 'cock'],
        [unsexed, 'unsexed', 'unsexed'],
      ]);
      onWritten(entry, `${heads}: ${typed.trim()} ${unit}`);
    });
  };
  return (
    <Sheet title={`${brood.code}: several at once`} onClose={onClose}>
      <CountField label="Hens" value={hens} onCount={setHens} />
      <CountField label="Cocks" value={cocks} onCount={setCocks} />
      <CountField label="Not sexed" value={unsexed} onCount={setUnsexed} />
      <TextField
        label={`All of them together, ${unit}`}
        value={typed}
        onText={(text) => {
          setTyped(text);
          setDoubted(null);
        }}
        inputMode="decimal"
        wrong={typed !== '' && value === null ? `Type a weight in ${unit}, such as 612.5.` : null}
      />
      {grams !== null && birds > 0 && <p>{showWeight(grams / birds, unit, 'bird')} a bird.</p>}
      {doubted !== null && (
        <Notice kind="refused">
          <p>{doubted}</p>
        </Notice>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={birds === 0 || grams === null || busy} onClick={keep}>
        {birds === 0 ? 'At least one bird' : doubted === null ? 'Write it down' : 'Yes, write it down'}
      </Button>
    </Sheet>
  );
}
