import { farm } from '../../book/index.ts';
import type { Plan, Shown } from '../../book/trip/notebook.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { PickField } from '../../parts/field.tsx';
import { FIELD, WHAT } from './words.ts';

const NONE = '';

/** Which column is what: as the headings say, until the person says otherwise. */
export function Columns({ shown, onPlan }: { shown: Shown; onPlan: (plan: Plan) => void }) {
  const { plan } = shown;
  const fields = Object.entries(shown.may_hold[plan.what]).filter(
    ([name]) => plan.across.length === 0 || name === 'day' || name === 'round',
  );
  const pick = (name: string, n: string) => {
    const columns = Object.fromEntries(
      Object.entries(plan.columns).filter(([each, at]) => each !== name && String(at) !== n),
    );
    onPlan({ ...plan, columns: n === NONE ? columns : { ...columns, [name]: Number(n) } });
  };
  const rounds = farm.value?.rounds ?? [];
  return (
    <section class="matching" aria-label="Columns">
      <h2>Which column is what</h2>
      <Choice
        label="The rows are"
        value={plan.what}
        options={WHAT}
        stacked
        onChoose={(what) => onPlan({ ...plan, what, columns: {}, across: [] })}
      />
      {plan.across.length > 0 && (
        <p>
          A row a day, a column a cage: {plan.across.map((n) => shown.headings[n]).join(', ')}.{' '}
          <Button kind="quiet" onClick={() => onPlan({ ...plan, across: [] })}>
            It is a row a count
          </Button>
        </p>
      )}
      <div class="fields">
        {fields.map(([name, must]) => (
          <PickField
            key={name}
            label={FIELD[name] ?? name}
            hint={must ? undefined : 'may be left out'}
            wrong={shown.missing.includes(name) ? 'Say which column holds it.' : null}
            value={String(plan.columns[name] ?? NONE)}
            options={[
              { value: NONE, name: 'not in the sheet' },
              ...shown.headings.map((heading, n) => ({
                value: String(n),
                name: heading || `column ${n + 1}`,
              })),
            ]}
            onPick={(n) => pick(name, n)}
          />
        ))}
      </div>
      {plan.columns.weight !== undefined && (
        <Choice
          label="Weights without a unit are in"
          value={plan.unit}
          options={[
            { value: 'g', name: 'grams' },
            { value: 'oz', name: 'ounces' },
          ]}
          onChoose={(unit) => onPlan({ ...plan, unit })}
        />
      )}
      {shown.order_needed && (
        <Choice
          label="A day such as 3/11/2025 is"
          value={plan.order}
          options={[
            { value: 'day_first', name: '3 November', detail: 'the day first' },
            { value: 'month_first', name: 'March 11', detail: 'the month first' },
          ]}
          onChoose={(order) => onPlan({ ...plan, order })}
        />
      )}
      {plan.what === 'egg_counts' && plan.columns.round === undefined && rounds.length > 1 && (
        <Choice
          label="The counts are of the"
          value={plan.round ?? rounds[0]?.key ?? null}
          options={rounds.map((r) => ({ value: r.key, name: `${r.name} round` }))}
          onChoose={(round) => onPlan({ ...plan, round })}
        />
      )}
    </section>
  );
}
