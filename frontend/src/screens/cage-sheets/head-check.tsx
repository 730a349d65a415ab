import { useState } from 'preact/hooks';
import { type CageRow, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { CountField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

/** What stands in the cage, seen with one's own eyes: it sets the numbers, whatever came before. */
export function HeadCheck({ cage, onClose }: { cage: CageRow; onClose: () => void }) {
  const [hens, setHens] = useState(Math.max(0, cage.hens));
  const [cocks, setCocks] = useState(Math.max(0, cage.cocks));
  const [unsexed, setUnsexed] = useState(Math.max(0, cage.unsexed));
  const { wrong, busy, run } = useWriting();
  const keep = () =>
    run(() => write('head_check', { cage: cage.id, hens, cocks, unsexed })).then((done) => done && onClose());
  return (
    <Sheet title={`${cage.code}: head check`} onClose={onClose}>
      <p>Count the birds that stand there now.</p>
      <CountField label="Hens" value={hens} onCount={setHens} />
      <CountField label="Cocks" value={cocks} onCount={setCocks} />
      <CountField label="Unsexed" value={unsexed} onCount={setUnsexed} />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy} onClick={keep}>
        So many stand here
      </Button>
    </Sheet>
  );
}
