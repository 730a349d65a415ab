import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';
import { setRead, wasRead } from '../../parts/once.ts';

export type CautionOf = 'processing' | 'selling';

const SAID: Record<CautionOf, string> = {
  processing:
    'Killing and processing birds is under local rules, and more so where the meat is sold: go by them, and ask a veterinarian about any bird that does not look well. Barnbook keeps the numbers and gives no method.',
  selling:
    'Selling or sending live birds is under local rules: some places ask for tests, papers or a permit. Go by them, and ask a veterinarian about any bird that does not look well.',
};

/** Shown once on a device; it defers to local rules and a veterinarian. */
export function Caution({ of }: { of: CautionOf }) {
  if (wasRead(of)) return null;
  return (
    <Notice>
      <p>{SAID[of]}</p>
      <Button onClick={() => setRead(of)}>I have read it</Button>
    </Notice>
  );
}
