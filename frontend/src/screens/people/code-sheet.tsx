import { useState } from 'preact/hooks';
import { type Code, drawCode, type Somebody } from '../../book/trip/house-people.ts';
import { Button } from '../../parts/button.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';
import './people.css';

/** A code for somebody's phone, on this screen for ten minutes: their camera reads it. */
export function CodeSheet({ who, forgot, onClose }: { who: Somebody; forgot: boolean; onClose: () => void }) {
  const [code, setCode] = useState<Code | null>(null);
  const { wrong, busy, run } = useWriting();
  const draw = () => run(async () => setCode(await drawCode(who.id, forgot)));
  return (
    <Sheet title={forgot ? `A new password for ${who.name}` : `A phone for ${who.name}`} onClose={onClose}>
      {code === null ? (
        <>
          <p>
            {forgot
              ? `${who.name} chooses a new password on their phone. The old one ends then, on every phone of theirs.`
              : `Have ${who.name}'s phone at hand, on the house's Wi-Fi. The code works once, for ten minutes.`}
          </p>
          <Button kind="main" disabled={busy} onClick={draw}>
            Show the code
          </Button>
        </>
      ) : (
        <>
          <img class="join-code" src={code.qr} alt={`QR code of ${code.link}`} />
          <p>Read it with the phone's camera. Or open this on the phone:</p>
          <p class="join-link">{code.link}</p>
          <p class="quiet">
            Works once, for {code.minutes} minutes. If the phone warns of the address, it does not know the
            house yet: open the plain address that the house printed when it started, and come back to this.
          </p>
          <Button disabled={busy} onClick={draw}>
            Another code
          </Button>
        </>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
    </Sheet>
  );
}
