import { useState } from 'preact/hooks';
import type { AheadPage, CageAhead } from '../../book/ahead-page.ts';
import { type Day, type Id, type LineRow, me, newId, today, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom, showDay } from '../../parts/days.ts';
import { PickField, TextField } from '../../parts/field.tsx';
import { FigureLine } from '../../parts/figure-line.tsx';
import { missingSentence } from '../../parts/figure-words.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import type { Params } from '../../parts/route.ts';
import { OfLine } from '../frame/of-line.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { planNow } from '../orders/now.ts';
import { dayOf } from '../orders/open-orders.ts';
import { Stands } from '../orders/orders.tsx';
import { answerFor } from '../orders/promise-words.tsx';
import { eggsFor, STEP_WORDS, type Wanted } from './table.ts';
import './ahead.css';

/** The calendar backwards: from hens reaching their last day to the eggs to set, and by when. */
export function Ahead({ line }: Params) {
  return (
    <OfLine
      page="ahead"
      title="Ahead"
      at="/ahead"
      line={line}
      none="The house has not reckoned this yet. It does so after eggs have been set."
    >
      {({ body, line: of }) => (
        <div class="spread">
          <section class="stack">
            <h2>Hens reaching their last day</h2>
            {body.cages.length === 0 && (
              <p>
                No cage’s eggs must be set within 120 days.
                {of.laying_life_weeks === null && of.hen_breeding_weeks === null
                  ? ' The line says no laying life and no breeding life: say them in Set-up.'
                  : ''}
              </p>
            )}
            {body.cages.map((cage) => (
              <OneCage key={`${cage.cage} ${cage.life}`} page={body} cage={cage} line={of} />
            ))}
          </section>
          <section class="stack">
            <PromisedEggs line={of} />
            <h2>Planned</h2>
            <Planned page={body} line={of} />
            <AnotherDay page={body} line={of} />
            <h2>What became of its eggs</h2>
            <Rates page={body} />
          </section>
        </div>
      )}
    </OfLine>
  );
}

const LIFE: Record<string, string> = { replace_hens: 'laying life', hens_breeding: 'breeding life' };

function OneCage({ page, cage, line }: { page: AheadPage; cage: CageAhead; line: LineRow }) {
  const [wanted, setWanted] = useState<Wanted>({ cocks: cage.cocks, hens: cage.hens });
  const eggs = eggsFor(page, wanted) ?? (same(wanted, cage) ? (cage.eggs?.eggs ?? null) : null);
  const planned = (line.plans ?? []).some((plan) => plan.cage === cage.cage);
  return (
    <section class="a-cage">
      <h3>
        {cage.code}{' '}
        <small>
          {amount(cage.hens, 'hen')}, {Math.floor(daysFrom(cage.hatched_on, today.value) / 7)} weeks old:
          their {LIFE[cage.life] ?? 'life'} ends {showDay(cage.last_day, today.value)}
        </small>
      </h3>
      <HowMany
        page={page}
        wanted={wanted}
        onWanted={setWanted}
        eggs={eggs}
        by={cage.set_day}
        exact={same(wanted, cage) ? cage.eggs : null}
      />
      {eggs !== null && <EggsThere line={line.id} eggs={eggs} by={cage.set_day} />}
      {cage.late_days > 0 ? (
        <p class="late">
          Set today, young hens lay on {showDay(cage.in_lay, today.value)}: {amount(cage.late_days, 'day')}{' '}
          after that.
        </p>
      ) : (
        <p class="quiet">Then young hens stand in the cage and lay on {showDay(cage.in_lay, today.value)}.</p>
      )}
      <MakeDue
        line={line}
        cage={cage.cage}
        wanted={wanted}
        eggs={eggs}
        from_day={cage.steps.find(([work]) => work === 'set')?.[1] ?? cage.set_day}
        by_day={cage.set_day}
        planned={planned}
      />
      <details>
        <summary>The days between</summary>
        <table class="figures-table">
          <tbody>
            {cage.steps.map(([work, first, last]) => (
              <tr key={work}>
                <td>{STEP_WORDS[work] ?? work}</td>
                <td>
                  {first === last
                    ? showDay(last, today.value)
                    : `${showDay(first, today.value)} to ${showDay(last, today.value)}`}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </section>
  );
}

const same = (wanted: Wanted, cage: CageAhead) => wanted.cocks === cage.cocks && wanted.hens === cage.hens;

interface HowManyProps {
  page: AheadPage;
  wanted: Wanted;
  onWanted: (wanted: Wanted) => void;
  eggs: number | null;
  by: string;
  exact: CageAhead['eggs'];
}

/** Keepers wanted, and the eggs that the house's table gives for them. */
function HowMany({ page, wanted, onWanted, eggs, by, exact }: HowManyProps) {
  const options = (list: number[], now: number) =>
    [...new Set([...list, now])].sort((a, b) => a - b).map((n) => ({ value: String(n), name: String(n) }));
  return (
    <>
      <div class="side-by-side">
        <PickField
          label="Hens to keep"
          value={String(wanted.hens)}
          options={options(page.hens, wanted.hens)}
          onPick={(n) => onWanted({ ...wanted, hens: Number(n) })}
        />
        <PickField
          label="Cocks to keep"
          value={String(wanted.cocks)}
          options={options(page.cocks, wanted.cocks)}
          onPick={(n) => onWanted({ ...wanted, cocks: Number(n) })}
        />
      </div>
      {eggs === null ? (
        <p>
          {wanted.hens + wanted.cocks === 0
            ? 'Nobody is wanted.'
            : page.missing
              ? `How many eggs, nobody can say yet: ${missingSentence(page)}`
              : 'For so many keepers ask in two parts: the table does not reach them.'}
        </p>
      ) : (
        <p class="set-by">
          Set <strong>{amount(eggs, 'egg')}</strong> by <strong>{showDay(by, today.value)}</strong>
          <small>
            {exact
              ? `at 90 %: ${percent(exact.sure)} sure of enough of both, ${percent(exact.one_fewer)} with one egg fewer; ` +
                `most likely ${Math.round(exact.hens)} hens and ${Math.round(exact.cocks)} cocks make the cut`
              : 'at 90 % sure of enough of both'}
          </small>
        </p>
      )}
    </>
  );
}

const percent = (share: number): string => `${(share * 100).toFixed(1)} %`;

interface MakeDueProps {
  line: LineRow;
  cage: string | null;
  wanted: Wanted;
  eggs: number | null;
  from_day: string;
  by_day: string;
  planned?: boolean;
}

/** One tap makes it a due: an entry, which Today shows until so many eggs are set. */
function MakeDue({ line, cage, wanted, eggs, from_day, by_day, planned = false }: MakeDueProps) {
  const { wrong, busy, run } = useWriting();
  if (me.value?.role !== 'owner' || eggs === null) return null;
  const keep = () =>
    run(() =>
      write('setting_planned', {
        plan: newId(),
        line: line.id,
        cage,
        eggs,
        ...wanted,
        from_day: from_day < by_day ? from_day : by_day,
        by_day,
        note: '',
      }),
    );
  return (
    <>
      <Button kind={planned ? 'plain' : 'main'} disabled={busy} onClick={() => void keep()}>
        {planned ? 'Make it one more due' : `Make it a due: ${amount(eggs, 'egg')}`}
      </Button>
      {wrong !== null && <p class="late">{wrong}</p>}
    </>
  );
}

/** What is promised of the line's eggs: it leaves the store before anything is set. */
function PromisedEggs({ line }: { line: LineRow }) {
  const plan = planNow().filter(({ order }) => order.line === line.id);
  if (plan.length === 0) return null;
  return (
    <>
      <h2>Eggs promised</h2>
      <Ledger narrow label="Eggs promised, by day">
        {plan.map((aside) => (
          <Row
            key={aside.order.id}
            href={`/order/${aside.order.id}`}
            margin={<b class={dayOf(aside.order) < today.value ? 'late' : undefined}>{aside.wanted}</b>}
          >
            <strong>
              {amount(aside.wanted, 'egg')} on {showDay(aside.on, today.value)}
            </strong>
            <span>Order {aside.order.code}</span>
            <Stands aside={aside} />
          </Row>
        ))}
      </Ledger>
    </>
  );
}

/** Whether the eggs to set will be there by their day, when what is promised has gone out. */
function EggsThere({ line, eggs, by }: { line: Id; eggs: number; by: Day }) {
  const answer = answerFor({ line, eggs, day: by < today.value ? today.value : by, oldest: null });
  if (answer.say === 'unknown') return null; // further ahead than eggs are foreseen, or of no known lay
  if (answer.say === 'yes')
    return (
      <p class="quiet">
        So many fresh eggs are at least 90 % sure to be there then, what is promised taken out.
      </p>
    );
  return (
    <p class="late">
      Only {amount(answer.most, 'fresh egg')} are 90 % sure to be there then, what is promised taken out
      {answer.first_day !== null && `; ${amount(eggs, 'egg')} on ${showDay(answer.first_day, today.value)}`}.
    </p>
  );
}

function Planned({ page, line }: { page: AheadPage; line: LineRow }) {
  const plans = line.plans ?? [];
  const { wrong, busy, run } = useWriting();
  if (plans.length === 0) return <p class="quiet">Nothing is planned.</p>;
  return (
    <>
      <Ledger narrow label="Planned settings">
        {plans.map(({ planned_on: _, ...plan }) => {
          const left = page.plans.find((each) => each.plan === plan.plan)?.left ?? plan.eggs;
          const done = left === 0;
          const late = !done && plan.by_day < today.value;
          return (
            <Row
              key={plan.plan}
              margin={<b class={late ? 'late' : undefined}>{done ? 'set' : late ? 'late' : left}</b>}
              end={
                me.value?.role === 'owner' &&
                !done && (
                  <Button
                    kind="strike"
                    disabled={busy}
                    onClick={() =>
                      void run(() => write('setting_planned', { ...plan, line: line.id, eggs: 0 }))
                    }
                  >
                    Give it up
                  </Button>
                )
              }
            >
              <strong>
                {amount(plan.eggs, 'egg')} by {showDay(plan.by_day, today.value)}
              </strong>
              <span>
                for {amount(plan.hens, 'hen')} and {amount(plan.cocks, 'cock')}
                {!done && left < plan.eggs && `; ${left} still to set`}
              </span>
            </Row>
          );
        })}
      </Ledger>
      {wrong !== null && <p class="late">{wrong}</p>}
    </>
  );
}

/** For an order of birds, a new cage, or a year's end: keepers that follow nobody. */
function AnotherDay({ page, line }: { page: AheadPage; line: LineRow }) {
  const [wanted, setWanted] = useState<Wanted>({ cocks: 1, hens: 4 });
  const [by, setBy] = useState(today.value);
  const eggs = eggsFor(page, wanted);
  return (
    <div class="stack not-printed">
      <h2>So many keepers by another day</h2>
      <TextField label="Set by" type="date" value={by} onText={setBy} />
      <HowMany page={page} wanted={wanted} onWanted={setWanted} eggs={eggs} by={by} exact={null} />
      {eggs !== null && by >= today.value && <EggsThere line={line.id} eggs={eggs} by={by} />}
      {by >= today.value && (
        <MakeDue line={line} cage={null} wanted={wanted} eggs={eggs} from_day={today.value} by_day={by} />
      )}
    </div>
  );
}

const RATES: Record<string, string> = {
  hatch: 'Chicks of the eggs set',
  live: 'Chicks that lived to be looked at',
  cocks: 'Cocks among those sexed',
  cut_cocks: 'Cocks that made the cut',
  cut_hens: 'Hens that made the cut',
};

function Rates({ page }: { page: AheadPage }) {
  return (
    <>
      <p class="quiet">The eggs to set stand on these; how unsure each is, is carried through.</p>
      {page.rates.map((rate) => (
        <div key={rate.name}>
          <FigureLine name={RATES[rate.name] ?? rate.name} figure={rate} today={today.value} />
          {rate.notes.includes('no_cut_weight') && (
            <p class="quiet">The line has no cut weight: all that were weighed count as kept.</p>
          )}
        </div>
      ))}
    </>
  );
}
