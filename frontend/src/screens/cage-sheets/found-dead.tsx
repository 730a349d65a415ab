import { useState } from 'preact/hooks';
import { type BroodRow, type CageRow, type Entry, type Kind, write } from '../../book/index.ts';
import { amounts } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  /** Where they lay: a cage or a brood, one of the two. */
  cage?: CageRow;
  brood?: BroodRow;
  onClose: () => void;
  onWritten?: (cage: CageRow, entry: Entry<Kind>, said: string) => void;
}

/** Birds found dead. In a cage it is most often one hen, in a brood one chick: that stands there first. */
export function FoundDead({ cage, brood, onClose, onWritten }: Props) {
  const [hens, setHens] = useState(cage && cage.hens > 0 ? 1 : 0);
  const [cocks, setCocks] = useState(0);
  const [unsexed, setUnsexed] = useState(brood ? 1 : 0);
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const none = hens + cocks + unsexed === 0;
  const keep = () =>
    run(async () => {
      const body = {
        cage: cage?.id ?? null,
        brood: brood?.id ?? null,
        hens,
        cocks,
        unsexed,
        birds: [],
        note,
      };
      const entry = await write('found_dead', body);
      const birds = amounts([
        [hens, 'hen'],
        [cocks, 'cock'],
        [unsexed, 'unsexed', 'unsexed'],
      ]);
      if (cage) onWritten?.(cage, entry, `dead: ${birds}`);
      onClose();
    });
  return (
    <Sheet title={`${cage?.code ?? brood?.code}: found dead`} onClose={onClose}>
      {brood && <CountField label="Chicks or unsexed" value={unsexed} onCount={setUnsexed} />}
      <CountField label="Hens" value={hens} onCount={setHens} />
      <CountField label="Cocks" value={cocks} onCount={setCocks} />
      {cage && (cage.unsexed > 0 || unsexed > 0) && (
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
