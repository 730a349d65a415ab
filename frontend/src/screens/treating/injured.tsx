import { useState } from 'preact/hooks';
import { type BirdRow, type BroodRow, type CageRow, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, LongField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  cage?: CageRow | undefined;
  brood?: BroodRow | undefined;
  bird?: BirdRow;
  onClose: () => void;
}

/** Birds hurt, and how: one that is known, or so many of a cage or a brood. */
export function Injured({ cage, brood, bird, onClose }: Props) {
  const [number, setNumber] = useState(1);
  const [text, setText] = useState('');
  const { wrong, busy, run } = useWriting();
  const keep = () =>
    run(() =>
      write('injured', {
        cage: cage?.id ?? null,
        brood: bird?.brood ?? brood?.id ?? null,
        bird: bird?.id ?? null,
        number: bird ? 1 : number,
        text: text.trim(),
      }),
    ).then((done) => done && onClose());
  return (
    <Sheet title={`${bird ? `Bird ${bird.number}` : (cage?.code ?? brood?.code)}: injured`} onClose={onClose}>
      {!bird && <CountField label="Birds" value={number} onCount={setNumber} />}
      <LongField label="What is wrong, and what was done" value={text} onText={setText} />
      <p class="quiet">
        Sudden deaths, breathing trouble or a sudden drop in lay: call a veterinarian, and report where local
        rules ask for it.
      </p>
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || text.trim() === '' || number === 0} onClick={keep}>
        Write it down
      </Button>
    </Sheet>
  );
}
