import type { ComponentChildren } from 'preact';
import type { CageRow, Id, Round } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { type Found, type Stop, type Sum, withoutHens } from './walk.ts';

interface Props {
  round: Round;
  stops: Stop[];
  sum: Sum;
  cages: CageRow[];
  found: Found;
  onJump: (cage: Id) => void;
  children?: ComponentChildren;
}

/** The end of the walk: what was counted, and every cage that was not, one tap away. */
export function EndOfRound({ round, stops, sum, cages, found, onJump, children }: Props) {
  const empty = withoutHens(cages, found, round.key);
  if (stops.length === 0)
    return (
      <section class="end-of-round">
        <h2>No cages to walk yet</h2>
        <p>Cages and the birds in them are set up under Set-up.</p>
        <a class="button main" href="/set-up">
          Set-up
        </a>
      </section>
    );
  return (
    <section class="end-of-round" aria-label="End of the round">
      <h2>
        {sum.open.length === 0 ? `${round.name} round is done` : `${amount(sum.open.length, 'cage')} left`}
      </h2>
      <p class="total">
        <b>{amount(sum.eggs, 'egg')}</b> from {amount(sum.counted, 'cage')}
      </p>
      {children}
      <Cages title="Not counted" stops={sum.open} onJump={onJump} />
      <Cages title="Passed over" stops={sum.passed} onJump={onJump} />
      <Cages title="Counted twice" stops={sum.clashes} onJump={onJump} />
      {empty.length > 0 && (
        <p class="quiet">
          Without hens in the book, so not in the walk: {empty.map((c) => c.code).join(', ')}.
        </p>
      )}
      <a class="button main" href="/">
        Back to Today
      </a>
    </section>
  );
}

function Cages({ title, stops, onJump }: { title: string; stops: Stop[]; onJump: (cage: Id) => void }) {
  if (stops.length === 0) return null;
  return (
    <div>
      <h3>{title}</h3>
      <ul class="cage-chips">
        {stops.map((stop) => (
          <li key={stop.id}>
            <button type="button" onClick={() => onJump(stop.id)}>
              {stop.code}
            </button>
          </li>
        ))}
      </ul>
    </div>
  );
}
