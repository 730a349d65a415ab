/** What is found in a tray: at candling, and at the hatch. */
import { useState } from 'preact/hooks';
import { type TrayRow, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  tray: TrayRow;
  onClose: () => void;
}

/** The person counts what is wrong; every other egg in the tray was read and is alive. */
export function Candle({ tray, onClose }: Props) {
  const [clear, setClear] = useState(0);
  const [dead_early, setDead] = useState(0);
  const [unread, setUnread] = useState(0);
  const [broken, setBroken] = useState(0);
  const [removed, setRemoved] = useState(0);
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const alive = tray.left - clear - dead_early - unread - broken - removed;
  const read = clear + dead_early + Math.max(0, alive);
  const none = read + unread + broken + removed === 0;
  const keep = () =>
    run(() =>
      write('candled', {
        setting: tray.setting,
        tray: tray.id,
        read,
        clear,
        dead_early,
        unread,
        broken,
        removed,
        note,
      }),
    ).then((done) => done && onClose());
  return (
    <Sheet title={`Candle tray ${tray.name}`} onClose={onClose}>
      <p>
        {amount(tray.left, 'egg')} in the tray. Count what is not alive; the rest is taken to be read and
        alive.
      </p>
      <CountField label="Clear" value={clear} onCount={setClear} />
      <CountField label="Dead early" value={dead_early} onCount={setDead} />
      <CountField label="Too dark to read" value={unread} onCount={setUnread} hint="They stay in the tray." />
      <CountField label="Broken" value={broken} onCount={setBroken} />
      <CountField label="Taken out for another reason" value={removed} onCount={setRemoved} />
      <TextField label="Note" beside value={note} onText={setNote} maxLength={500} />
      {alive < 0 ? (
        <Notice kind="refused">
          <p>
            That is {-alive} more than the {amount(tray.left, 'egg')} in the tray. Count once more; written as
            it is, the owner is asked.
          </p>
        </Notice>
      ) : (
        <p>
          <b>{alive} alive</b> of {read} read
          {unread > 0 && `, ${unread} not read`};{' '}
          {Math.max(0, tray.left - clear - dead_early - broken - removed)} stay in.
        </p>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy || none} onClick={keep}>
        Write it down
      </Button>
    </Sheet>
  );
}

/** What came out since the last look; written again it adds. */
export function Hatch({ tray, onClose }: Props) {
  const [hatched, setHatched] = useState(0);
  const [pipped_dead, setPipped] = useState(0);
  const [dead_in_shell, setDead] = useState(0);
  const [note, setNote] = useState('');
  const { wrong, busy, run } = useWriting();
  const before = tray.hatched + tray.pipped_dead + tray.dead_in_shell;
  const still = tray.left - before - hatched - pipped_dead - dead_in_shell;
  const keep = () =>
    run(() =>
      write('hatched', { setting: tray.setting, tray: tray.id, hatched, pipped_dead, dead_in_shell, note }),
    ).then((done) => done && onClose());
  return (
    <Sheet title={`Hatch of tray ${tray.name}`} onClose={onClose}>
      <p>
        {amount(tray.left, 'egg')} went to the hatch
        {before > 0 && `; ${tray.hatched} hatched before, ${before - tray.hatched} dead`}. Written again
        later, it adds.
      </p>
      <CountField label="Hatched" value={hatched} onCount={setHatched} />
      <CountField label="Pipped and dead" value={pipped_dead} onCount={setPipped} />
      <CountField label="Dead in shell" value={dead_in_shell} onCount={setDead} />
      <TextField label="Note" beside value={note} onText={setNote} maxLength={500} />
      {still < 0 ? (
        <Notice kind="refused">
          <p>
            That is {-still} more than the eggs left in the tray. Count once more; written as it is, the owner
            is asked.
          </p>
        </Notice>
      ) : (
        <p>
          {still === 0
            ? 'Every egg of the tray is accounted for.'
            : `${amount(still, 'egg')} not accounted for yet.`}
        </p>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={busy} onClick={keep}>
        {hatched + pipped_dead + dead_in_shell === 0 ? 'Nothing came out' : 'Write it down'}
      </Button>
    </Sheet>
  );
}
