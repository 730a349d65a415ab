import { useMemo, useState } from 'preact/hooks';
import { type BroodRow, birdsOf, newId, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { useBandsWorn, wornElsewhere } from '../sexing-day/bands-worn.ts';
import { type BandGroup, bandRun, wearers } from './band-run.ts';

/** Bands put on birds of a brood: a run of numbers at once, or one. */
export function Bands({ brood, onClose }: { brood: BroodRow; onClose: () => void }) {
  const birds = useMemo(() => birdsOf(brood.id), [brood.id]).value ?? [];
  const [first, setFirst] = useState('');
  const [many, setMany] = useState(1);
  const [group, setGroup] = useState<BandGroup>('unsexed');
  const { wrong, busy, run } = useWriting();
  const worn = useBandsWorn();
  const { bands, wrong: taken } = bandRun(first, many, birds);
  const elsewhere = wornElsewhere(worn, bands, brood.id);
  const keep = () =>
    run(() => {
      const on = wearers(birds, group, bands.length);
      return write('birds_banded', {
        brood: brood.id,
        birds: bands.map((band, n) => ({ bird: on[n]?.id ?? newId(), band })),
      });
    }).then((done) => done && onClose());
  return (
    <Sheet title={`Bands of ${brood.code}`} onClose={onClose}>
      <Choice
        label="They go on"
        value={group}
        onChoose={setGroup}
        options={[
          { value: 'unsexed', name: 'Not sexed' },
          { value: 'hen', name: 'Hens' },
          { value: 'cock', name: 'Cocks' },
        ]}
      />
      <TextField
        label="First band"
        value={first}
        onText={setFirst}
        maxLength={20}
        autocomplete="off"
        wrong={taken}
      />
      <CountField label="Birds" value={many} onCount={setMany} most={200} />
      {bands.length > 0 && taken === null && (
        <p>{bands.length === 1 ? `Band ${bands[0]}.` : `Bands ${bands[0]} to ${bands.at(-1)}.`}</p>
      )}
      {elsewhere !== null && taken === null && (
        <Notice kind="refused">
          <p>{elsewhere}</p>
        </Notice>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || bands.length === 0 || taken !== null} onClick={keep}>
        {bands.length === 0 ? 'The first band' : `Band ${amount(bands.length, 'bird')}`}
      </Button>
    </Sheet>
  );
}
