import { farm, today } from '../../book/index.ts';
import type { WaitingPage, WaitingSex } from '../../book/waiting-page.ts';
import { amount } from '../../parts/amount.ts';
import { Chart } from '../../parts/chart.tsx';
import { daysFrom } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { inUnit } from '../../parts/figure-words.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import type { Params } from '../../parts/route.ts';
import { GRAMS_PER_OUNCE, showDifference, type Unit } from '../../parts/weight.ts';
import { OfLine } from '../frame/of-line.tsx';
import { PricesOf } from './prices.tsx';
import { leftByWaiting, money, perBird, worthRange } from './steps.ts';

const SEXES = [
  { sex: 'cock', name: 'Cocks' },
  { sex: 'hen', name: 'Hens' },
] as const;
const A_WEEK = 7;

/** By sex: what each more day costs and brings, and where waiting stops paying. */
export function Waiting({ line }: Params) {
  return (
    <OfLine
      page="waiting"
      title="Wait or process"
      at="/wait-or-process"
      line={line}
      none="The house has not reckoned this yet. It does so after birds have been weighed."
    >
      {({ body, line: of }) => (
        <>
          <div class="spread">
            {SEXES.map(({ sex, name }) => (
              <section key={sex} class="stack">
                <h2>{name}</h2>
                <OneSex page={body} of={body.sexes[sex]} name={name} />
              </section>
            ))}
          </div>
          <div class="spread">
            <section class="stack">
              <h2>Who waits now</h2>
              <Now page={body} />
            </section>
            <section class="stack">
              <h2>Your prices</h2>
              <PricesOf line={of} page={body} />
            </section>
          </div>
          <p class="quiet">
            A figure, not an advice. Local rules on slaughter and sale, withdrawal spans, and where needed a
            veterinarian decide whether and how a bird may be processed.
          </p>
        </>
      )}
    </OfLine>
  );
}

function OneSex({ page, of, name }: { page: WaitingPage; of: WaitingSex; name: string }) {
  const currency = page.prices?.currency ?? '';
  const unit: Unit = farm.value?.weight_unit ?? 'g';
  const inTheir = (grams: number, places: number) =>
    unit === 'oz' ? (grams / GRAMS_PER_OUNCE).toFixed(places + 1) : grams.toFixed(places);
  const first = of.steps[0];
  const last = of.steps.at(-1);
  const turn = of.turns.value;
  const top = 1.1 * Math.max(0.001, ...of.steps.flatMap(([, , , , brings, costs]) => [brings, costs]));
  return (
    <>
      <FigureLine name="Waiting stops paying at the age of" figure={of.turns} today={today.value} />
      {of.weight && (
        <FigureLine
          name={`Weight at ${page.standard_age_days} days`}
          figure={inUnit({ ...of.weight, computed_at: 0 }, unit)}
          today={today.value}
        />
      )}
      {first && last && (
        <Chart
          summary={
            `${name}: ${words(of, page.standard_age_days, currency, unit)} ` +
            (turn === null ? '' : `From ${turn} days on a day brings less than it costs.`)
          }
          x={{ label: 'Age, days', from: first[0], to: last[0], show: String }}
          y={{
            label: `${currency} a bird and day`,
            from: 0,
            to: top,
            step: top > 0.5 ? 0.1 : top > 0.2 ? 0.05 : 0.02,
            show: (v) => v.toFixed(2),
          }}
          series={[
            { draw: 'line', name: 'Brings', points: of.steps.map(([age, , , , brings]) => [age, brings]) },
            { draw: 'dashes', name: 'Costs', points: of.steps.map(([age, , , , , costs]) => [age, costs]) },
          ]}
          marks={[
            ...(turn === null ? [] : [{ x: turn, name: 'it turns' }]),
            ...(turn === page.standard_age_days ? [] : [{ x: page.standard_age_days, name: 'weighing age' }]),
          ]}
          head={[
            'Age, days',
            `Weight, ${unit}`,
            `Gain, ${unit}`,
            `Feed, ${unit}`,
            `Brings, ${currency}`,
            `Costs, ${currency}`,
          ]}
          rows={of.steps.map(([age, weight, gain, feed, brings, costs]) => [
            age,
            inTheir(weight, 0),
            inTheir(gain, 1),
            inTheir(feed, 1),
            brings.toFixed(3),
            costs.toFixed(3),
          ])}
        />
      )}
      {of.turns.notes.includes('place_not_counted') && of.steps.length > 0 && (
        <p class="quiet">
          What the place would earn with the next brood is not counted: say it in your prices.
        </p>
      )}
      {last && last[0] < page.standard_age_days + A_WEEK && (
        <p class="quiet">
          The growth curve is not shown past {last[0]} days: too little of it is seen. Weigh a few birds one
          and two weeks later, and it is.
        </p>
      )}
    </>
  );
}

/** "a day at 56 days adds 3.1 g: it brings 0.02 and costs 0.03 USD a bird." */
function words(of: WaitingSex, age: number, currency: string, unit: Unit): string {
  const step = of.steps.find(([at]) => at === age) ?? of.steps.at(-1);
  if (!step) return '';
  const [at, , gain, , brings, costs] = step;
  return `the day up to ${at} days adds ${showDifference(gain, unit)}: it brings ${money(brings)} and costs ${money(costs)} ${currency} a bird.`;
}

/** What one more week would leave or lose for the birds that stand now. */
function Now({ page }: { page: WaitingPage }) {
  if (page.broods.length === 0)
    return <p>No brood near its weighing age has birds that are neither kept nor placed.</p>;
  return (
    <Ledger label="Broods near the weighing age">
      {page.broods.map((brood) => {
        const age = daysFrom(brood.hatched_on, today.value);
        return (
          <Row key={brood.brood} href={`/brood/${brood.brood}`} margin={<b>{brood.code}</b>}>
            <strong>{age} days old</strong>
            {SEXES.map(({ sex, name }) => {
              const birds = sex === 'cock' ? brood.cocks : brood.hens;
              if (birds === 0) return null;
              const left = leftByWaiting(page.sexes[sex].steps, age, A_WEEK);
              return (
                <span key={sex}>
                  {birds} {name.toLowerCase()}:{' '}
                  {left === null
                    ? `nothing can be said of a week from here (${worthRange(page.sexes[sex].steps)})`
                    : `a week more ${perBird(left, birds, page.prices?.currency ?? '')}`}
                </span>
              );
            })}
            <small>{amount(brood.cocks + brood.hens, 'bird')} neither kept nor placed</small>
          </Row>
        );
      })}
    </Ledger>
  );
}
