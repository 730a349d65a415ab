import type { CostFigure, CostPage } from '../../book/cost-page.ts';
import { me } from '../../book/index.ts';
import { leftOutWords } from '../../parts/figure-words.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import type { Params } from '../../parts/route.ts';
import { OfLine } from '../frame/of-line.tsx';
import {
  madeInWords,
  missingInWords,
  money,
  monthInWords,
  NAMES,
  notBorneInWords,
  partInWords,
} from './cost-words.ts';

/** What a dozen, a chick, a bird and a kilogram cost, by month; and what each is the sum of. */
export function Costs({ line }: Params) {
  return (
    <OfLine
      page="cost"
      title="Costs"
      at="/costs"
      line={line}
      none="Nothing is reckoned yet. The house reckons costs once feed or an expense is written down."
      above={
        me.value?.role !== 'onlooker' && (
          <a class="button" href="/costs/write">
            Write down feed or an expense
          </a>
        )
      }
    >
      {({ body }) => <Months body={body} />}
    </OfLine>
  );
}

function Months({ body }: { body: CostPage }) {
  if (body.months.length === 0)
    return <p>No month with feed or an expense is over yet. The first is reckoned when it is.</p>;
  return (
    <>
      <p class="quiet">
        Used up, not paid: feed that was fed, at what feed cost. Those that died are carried by those that
        lived, cracked eggs by sound ones. Your own labour is in it only where you wrote it down.
      </p>
      {body.months.map(({ month, figures, not_borne = [] }) => (
        <section class="stack" key={month}>
          <h2>{monthInWords(month)}</h2>
          <Ledger label={`Costs of ${monthInWords(month)}`}>
            {figures.map((figure) => (
              <CostRow key={figure.name} figure={figure} currency={body.currency} />
            ))}
          </Ledger>
          {not_borne.length > 0 && <p class="quiet">{notBorneInWords(not_borne)}</p>}
        </section>
      ))}
    </>
  );
}

function CostRow({ figure, currency }: { figure: CostFigure; currency: string }) {
  const { name, value, low, high, parts } = figure;
  const left_out = leftOutWords({ ...figure, computed_at: 0 });
  return (
    <Row margin={value === null ? '–' : <b>{money(value)}</b>}>
      <strong>{NAMES[name] ?? name}</strong>
      {value === null ? (
        <span>{missingInWords(figure)}</span>
      ) : (
        <>
          <span>
            {currency}
            {low !== null && high !== null && ` (${money(low)} to ${money(high)})`}, over{' '}
            {madeInWords(figure)}
          </span>
          <small>{parts.map((part) => partInWords(part, currency)).join('; ')}</small>
        </>
      )}
      {left_out !== '' && <small>Left out: {left_out}</small>}
    </Row>
  );
}
