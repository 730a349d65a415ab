import { Button } from '../../parts/button.tsx';
import { Sheet } from '../../parts/sheet.tsx';

interface Props {
  title: string;
  sentence: string;
  yes: string;
  no: string;
  onYes: () => void;
  onNo: () => void;
}

/** What is implausible is asked about once, and then believed: the hand was there, the phone was not. */
export function AskOnce({ title, sentence, yes, no, onYes, onNo }: Props) {
  return (
    <Sheet title={title} question onClose={onNo}>
      <p>{sentence}</p>
      <div class="side-by-side">
        <Button onClick={onNo}>{no}</Button>
        <Button kind="main" onClick={onYes}>
          {yes}
        </Button>
      </div>
    </Sheet>
  );
}
