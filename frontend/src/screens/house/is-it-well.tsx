import { useEffect, useState } from 'preact/hooks';
import { type Health, lastLook, lookAtHouse } from '../../book/trip/house-care.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { now_ms } from '../../parts/clock.ts';
import { showWhen } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Commands } from './commands.tsx';

/** What the house finds when it looks at itself: what is to be done first, then what is well. It is asked again when
 *  `since` changes. */
export function IsItWell({ since }: { since: number }) {
  const [seen, setSeen] = useState<Health | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const look = async () => {
    setBusy(true);
    setWrong(null);
    try {
      setSeen(await lookAtHouse());
    } catch (error) {
      setWrong(error instanceof Error ? error.message : 'The house cannot be reached.');
    }
    setBusy(false);
  };
  useEffect(() => {
    void lastLook().then((kept) => setSeen((now) => now ?? kept));
    void look();
  }, [since]);
  const toDo = seen?.findings.filter((each) => !each.well) ?? [];
  const well = seen?.findings.filter((each) => each.well) ?? [];
  return (
    <section class="stack is-it-well" aria-busy={busy}>
      <h2>Is it well?</h2>
      {wrong !== null && (
        <Notice kind="refused">
          <p>
            {wrong}{' '}
            {seen === null ? 'It looks at itself as soon as it answers.' : 'Below is what it said last.'}
          </p>
        </Notice>
      )}
      {seen !== null && (
        <>
          <p role="status">
            <b class={toDo.length > 0 ? 'late' : undefined}>
              {toDo.length === 0 ? 'All is well.' : `${amount(toDo.length, 'thing')} to see to.`}
            </b>{' '}
            <span class="quiet">Looked at {showWhen(Date.parse(seen.looked_at), now_ms.value)}.</span>
          </p>
          <Ledger label="What the house found">
            {[...toDo, ...well].map((each) => (
              <Row
                key={each.sentence}
                margin={<span class={each.well ? undefined : 'late'}>{each.about}</span>}
              >
                {!each.well && <strong>See to it</strong>}
                <span>
                  <Commands>{each.sentence}</Commands>
                </span>
              </Row>
            ))}
          </Ledger>
        </>
      )}
      <Button disabled={busy} onClick={() => void look()}>
        {busy ? 'Looking' : 'Look again'}
      </Button>
      <p class="quiet">
        At the house's own machine <code>barnbook check</code> says the same.
      </p>
    </section>
  );
}
