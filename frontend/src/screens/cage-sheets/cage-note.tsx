import { useState } from 'preact/hooks';
import { type CageRow, type Entry, type Kind, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { LongField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  cage: CageRow;
  onClose: () => void;
  onWritten?: (cage: CageRow, entry: Entry<Kind>, said: string) => void;
}

export function CageNote({ cage, onClose, onWritten }: Props) {
  const [text, setText] = useState('');
  const { wrong, busy, run } = useWriting();
  const keep = () =>
    run(async () => {
      const entry = await write('cage_note', { cage: cage.id, text: text.trim() });
      onWritten?.(cage, entry, 'note');
      onClose();
    });
  return (
    <Sheet title={`${cage.code}: note`} onClose={onClose}>
      <LongField label="What was seen" value={text} onText={setText} />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={text.trim() === '' || busy} onClick={keep}>
        Write it down
      </Button>
    </Sheet>
  );
}
