import { useEffect, useRef, useState } from 'preact/hooks';
import { type BackUp, type BackUps, backUpNow, backUps } from '../../book/trip/house-care.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';

const ASK_EVERY_MS = 700;
const SHOWN = 5;
const STEPS = ['Copying the book', 'Reading the copy through', 'Packing it', 'Opening it again'];
const MADE: Record<BackUp['reason'], string> = {
  night: 'by night',
  hand: 'asked for',
  upgrade: 'before a newer Barnbook',
  aside: 'put aside by a restore',
};

/** When the book was last backed up, where the back-ups lie and which are kept; one now. */
export function BackUpsOfTheHouse({ onMade }: { onMade: () => void }) {
  const [seen, setSeen] = useState<BackUps | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [asked, setAsked] = useState(false);
  const here = useRef(true);
  const listen = async (first: () => Promise<BackUps>) => {
    setWrong(null);
    try {
      for (let ask = first; ; ask = backUps) {
        const said = await ask();
        if (!here.current) return;
        setSeen(said);
        if (said.making.state !== 'working') return;
        await new Promise((later) => setTimeout(later, ASK_EVERY_MS));
      }
    } catch (error) {
      if (here.current) setWrong(error instanceof Error ? error.message : 'The house cannot be reached.');
    }
  };
  useEffect(() => {
    void listen(backUps);
    return () => {
      here.current = false;
    };
  }, []);
  const make = async () => {
    setAsked(true);
    await listen(backUpNow);
    if (!here.current) return;
    setAsked(false);
    onMade();
  };
  const working = asked || seen?.making.state === 'working';
  const last = seen?.rows[0];
  return (
    <section class="stack back-ups">
      <h2>Back-ups</h2>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong} Back-ups are made at the house, each night, whether a phone is there or not.</p>
          <Button onClick={() => void listen(backUps)}>Try again</Button>
        </Notice>
      )}
      {seen !== null && (
        <>
          {last === undefined ? (
            <p>There is none yet. The house makes one each night, after 3.</p>
          ) : (
            <p>
              The last was made <b>{showWhen(Date.parse(last.made_at), now_ms.value)}</b>, opened again and
              found whole.
            </p>
          )}
          {working ? (
            <Making done={seen.making.state === 'working' ? seen.making.done : 0} />
          ) : (
            seen.may_make && (
              <Button kind="main" onClick={() => void make()}>
                Back up now
              </Button>
            )
          )}
          {!working && seen.making.state === 'failed' && (
            <Notice kind="refused">
              <p>{seen.making.why}</p>
            </Notice>
          )}
          {last !== undefined && <Kept rows={seen.rows} />}
          <h3>Where they lie</h3>
          <p>
            <code>{seen.folder}</code>
            {seen.own_disk && ', on the disk of the book itself: no help if that disk dies.'}
          </p>
          <p>
            With a stick in the house's machine, type there <code>barnbook backup --to</code> and the stick's
            folder. Whoever has the file can read the book: keep it as you keep the house's key.
          </p>
          <p>
            To have the book as it was: close the house, <code>barnbook restore FILE</code>, and open it
            again. Each phone then sends again what it wrote in the last 180 days.
          </p>
        </>
      )}
    </section>
  );
}

function Making({ done }: { done: number }) {
  return (
    <div class="making">
      <label for="making-back-up">{STEPS[Math.min(done, STEPS.length - 1)]}</label>
      <progress id="making-back-up" max={STEPS.length} value={done} />
    </div>
  );
}

const size = (bytes: number) =>
  bytes < 1e6
    ? `${Math.ceil(bytes / 1000)} kB`
    : `${(bytes / 1e6).toLocaleString(undefined, { maximumFractionDigits: 1 })} MB`;

function Kept({ rows }: { rows: BackUp[] }) {
  return (
    <>
      <Ledger label="Back-ups">
        {rows.slice(0, SHOWN).map((each) => (
          <Row key={each.name} margin={size(each.bytes)}>
            <strong>
              {new Date(each.made_at).toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' })}
            </strong>
            <span>{MADE[each.reason]}</span>
          </Row>
        ))}
      </Ledger>
      <p class="quiet">
        {amount(rows.length, 'back-up')} kept. Of those made by night the newest of each of the last 7 days, 5
        weeks and 12 months stay; those that you asked for are yours to delete.
      </p>
    </>
  );
}
