import { useState } from 'preact/hooks';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { typedNumber } from '../../parts/weight.ts';
import { ADVICE, degrees, nearest, TRIALS } from './keeping.ts';

const KEPT = 'barnbook-store-c';

/** How long eggs keep: advice and trials with their sources. They contradict one another, so it is asked how warm the store is. */
export function Keeping() {
  const [typed, setTyped] = useState(readKept);
  const at_c = typedNumber(typed);
  const near = at_c === null ? [] : nearest(at_c);
  return (
    <section class="stack">
      <h2>How long eggs keep</h2>
      <p>
        Advice for eggs to be set: {ADVICE.map((a) => `${a.found} (${a.source})`).join(' ')} Each line’s own
        limit is in its set-up.
      </p>
      <TextField
        label="How warm is the store, °C"
        value={typed}
        inputMode="decimal"
        onText={(text) => {
          setTyped(text);
          keep(text);
        }}
        hint="Trials at different warmth contradict one another: there is no loss for a day that holds everywhere."
      />
      <Ledger label="What trials found, by warmth">
        {(at_c === null ? TRIALS : near).map((trial) => (
          <Row key={trial.source} margin={<b>{degrees(trial).replace(' °C', '°')}</b>}>
            <span>{trial.found}</span>
            <small>{trial.source}</small>
          </Row>
        ))}
      </Ledger>
      <p class="quiet">
        Eggs to eat are kept under other rules, mostly colder: go by the local ones, and do not mix the two.
      </p>
    </section>
  );
}

function readKept(): string {
  try {
    return localStorage.getItem(KEPT) ?? '';
  } catch {
    return '';
  }
}

function keep(text: string): void {
  try {
    localStorage.setItem(KEPT, text);
  } catch {
    // It is asked again the next time.
  }
}
