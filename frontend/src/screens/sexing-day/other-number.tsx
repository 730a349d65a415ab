import { useState } from 'preact/hooks';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';

interface Props {
  number: number;
  onNumber: (number: number) => void;
  onClose: () => void;
}

/** Another number for the bird in the hand: two people on one brood without signal begin far apart; or a bird known by its number. */
export function OtherNumber({ number, onNumber, onClose }: Props) {
  const [typed, setTyped] = useState('');
  const said = Number(typed);
  const fits = /^\d{1,4}$/.test(typed.trim()) && said >= 1;
  return (
    <Sheet title="Another number" onClose={onClose}>
      <p>
        The bird in the hand would be bird {number}. Where two people work on one brood without signal, one
        begins at 1 and the other at 101, so that no number is given twice.
      </p>
      <TextField
        label="Number"
        value={typed}
        onText={setTyped}
        inputMode="numeric"
        maxLength={4}
        autocomplete="off"
        hint="A number that the book knows brings up its bird."
        wrong={typed.trim() !== '' && !fits ? 'A bird’s number is from 1 to 9999.' : null}
      />
      <Button kind="main" disabled={!fits} onClick={() => onNumber(said)}>
        {fits ? `Bird ${said} is in the hand` : 'Type a number'}
      </Button>
    </Sheet>
  );
}
