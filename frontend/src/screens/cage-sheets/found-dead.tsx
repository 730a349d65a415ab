import { useState } from 'preact/hooks';
import { type CageRow, type Entry, type Kind, write } from '../../book/index.ts';
import { amounts } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  cage: CageRow;
  onClose: () => void;
  onWritten?: (cage: CageRow, entry: Entry<Kind>, said: string) => void;
}

/** Birds found dead in a cage. Most often it is one hen, so one hen is what stands there first where hens are. */
export function FoundDead({ cage, onClose, onWritten }: Props) {
  const [hens, setHens] = useState(cage.hens > 0 ? 1 : 0);
  const [cocks, setCocks] = useState(0);
  const [unsexed, setUnsexed] = useState(0);
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const none = hens + cocks + unsexed === 0;
  const keep = () =>
    run(async () => {
      const entry = await write('found_dead', { cage: cage.id, brood: null, hens, cocks, unsexed, note });
      onWritten?.(
        cage,
        entry,
        `dead: ${amounts([
          [hens, 'hen'],
          [cocks, 'cock'],
          [unsexed, 'unsexed', 'unsexed'],
        ])}`,
      );
      onClose();
    });
  return (
    <Sheet title={`${cage.code}: found dead`} onClose={onClose}>
      <CountField label="Hens" value={hens} onCount={setHens} />
      <CountField label="Cocks" value={cocks} onCount={setCocks} />
      {(cage.unsexed > 0 || unsexed > 0) && (
        <CountField label="Unsexed" value={unsexed} onCount={setUnsexed} />
      )}
      <TextField
        label="What was seen"
        value={note}
        onText={setNote}
        maxLength={500}
        hint="May be left empty."
      />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={none || busy} onClick={keep}>
        {none ? 'At least one bird' : 'Write it down'}
      </Button>
      <p class="quiet">
        <small>
          Several deaths in a few days: handle them with gloves, keep them apart, and ask a veterinarian.
        </small>
      </p>
    </Sheet>
  );
}
