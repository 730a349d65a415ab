import type { CageLaying } from '../../book/house-pages.ts';
import { lines, today } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { now_ms } from '../../parts/clock.ts';
import { daysFrom, showDay, showWhen } from '../../parts/days.ts';
import { FigureLine } from '../../parts/figure-line.tsx';
import { figureValue, missingSentence, nWords, spanWords } from '../../parts/figure-words.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { housePages } from '../frame/house-pages.ts';
import { FellRow } from './fell-row.tsx';
import './laying.css';

/** Every cage on one page, worst change first; the curves stand behind each line. */
export function Laying() {
  const pages = housePages('laying');
  const cages = pages.flatMap(({ body, line }) => body.cages.map((cage) => ({ cage, line })));
  cages.sort((a, b) => (a.cage.change ?? 1) - (b.cage.change ?? 1));
  const fell = cages.filter(({ cage }) => cage.fell);
  const reached = pages
    .map(({ body }) => body.reached ?? '')
    .sort()
    .at(-1);
  return (
    <BookPage title="Laying">
      {pages.length === 0 && (
        <p>
          {lines.value.length === 0
            ? 'No line in the book yet.'
            : 'The house has not reckoned the laying yet. It does so after counts have come in.'}
        </p>
      )}
      {fell.length > 0 && (
        <section class="stack">
          <h2>Fell off their lay</h2>
          <Ledger narrow label="Cages that fell off their lay">
            {fell.map(({ cage, line }) => (
              <FellRow key={cage.cage} cage={cage} line={line.name} />
            ))}
          </Ledger>
          <p class="quiet">
            A cage that lays as ever is named here about once a year. Heat, moult, light and a fright are
            yours to judge.
          </p>
        </section>
      )}
      <section class="stack">
        <h2>By line</h2>
        <div class="columns">
          {pages.map(({ line, body }) => (
            <section key={line.id} class="of-line">
              <h3>{line.name}</h3>
              {body.figures
                .filter((f) => f.name === 'lay_rate')
                .map((f) => (
                  <FigureLine
                    key={f.name}
                    name="Lay rate of cages like these"
                    figure={f}
                    today={today.value}
                  />
                ))}
              <a class="button plain" href={`/laying/${line.id}`}>
                Curves by age of hen
              </a>
            </section>
          ))}
        </div>
      </section>
      <section class="stack all-cages">
        <h2>All cages, worst change first</h2>
        {reached && (
          <p class="quiet">
            Eggs a hen-day over the 28 days to {showDay(reached, today.value)}, with the 95 % interval; the
            upright stroke is what the same hens gave in the twelve weeks before, the dot beneath it their
            line. Reckoned {showWhen(Math.max(...pages.map((p) => p.computed_at)), now_ms.value)}.
          </p>
        )}
        {pages.map(
          ({ line, body }) =>
            body.cages.length === 0 &&
            body.reached !== null && (
              <p key={line.id}>
                {line.name}: nothing was counted in the last 28 days, so no cage of it is judged. Its newest
                count reaches {showDay(body.reached, today.value)}.
              </p>
            ),
        )}
        <Ledger narrow label="All cages">
          {cages.map(({ cage, line }) => (
            <CageRate
              key={cage.cage}
              cage={cage}
              line={line.name}
              of_line={
                pages.find((p) => p.line.id === line.id)?.body.figures.find((f) => f.name === 'lay_rate')
                  ?.value ?? null
              }
            />
          ))}
        </Ledger>
      </section>
    </BookPage>
  );
}

function CageRate({ cage, line, of_line }: { cage: CageLaying; line: string; of_line: number | null }) {
  const rate = { ...cage.rate, computed_at: 0 };
  const words = figureValue(rate);
  const usual = figureValue({ ...cage.usual, computed_at: 0 });
  const age_days = cage.hatched_on === null ? null : daysFrom(cage.hatched_on, today.value);
  const old = cage.last_day !== null && daysFrom(today.value, cage.last_day) < 120;
  return (
    <Row href={`/cage/${cage.cage}`} margin={<b class={cage.fell ? 'late' : undefined}>{cage.code}</b>}>
      <span class="rate">
        <strong>{words ? words.value : 'Not yet'}</strong>
        <span>
          {words ? `(${words.interval}), ` : `${missingSentence(rate)} `}
          {words && (usual ? `usually ${usual.value} (${usual.interval})` : 'no usual of these hens yet')}
        </span>
      </span>
      {words?.bar && <RateBar {...words.bar} usual={cage.usual.value} line={of_line} />}
      <small>
        {nWords(rate)}, {spanWords(rate, today.value)} · {amount(cage.week.eggs, 'egg')} in {cage.week.days}{' '}
        days
        {cage.week.usual !== null && `, usually ${Math.round(cage.week.usual)}`}
      </small>
      <small>
        {line}, {amount(cage.hens, 'hen')}
        {age_days !== null && `, ${Math.floor(age_days / 7)} weeks old`}
        {old && <b class="late"> · grow old: last day {showDay(cage.last_day ?? '', today.value)}</b>}
      </small>
    </Row>
  );
}

/** The interval of the rate between none and one egg a hen-day; where its usual and its line stand. The words say the same. */
function RateBar(p: { value: number; low: number; high: number; usual: number | null; line: number | null }) {
  const x = (share: number) => Math.min(1, Math.max(0, share)) * 100;
  return (
    <svg class="interval-bar" viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <path d="M0 5 H100 M0 2 V8 M25 3.5 V6.5 M50 2.5 V7.5 M75 3.5 V6.5 M100 2 V8" class="ruler" />
      <path d={`M${x(p.low)} 5 H${x(p.high)}`} class="between" />
      <path d={`M${x(p.value)} 1 V9`} class="at" />
      {p.usual !== null && <path d={`M${x(p.usual)} 0 V10`} class="usual" />}
      {p.line !== null && <path d={`M${x(p.line) - 0.4} 9.4 h.8`} class="its-line" />}
    </svg>
  );
}
