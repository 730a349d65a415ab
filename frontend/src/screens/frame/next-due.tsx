import { broods, dues, lines, type Subject, settings, today, trays } from '../../book/index.ts';
import { showDay } from '../../parts/days.ts';
import { howLong, leftOf, onItsDays } from '../today/dues.ts';

const WORK: Record<string, string> = {
  sexing: 'Sexing',
  look_again: 'Look again',
  weighing: 'Weigh day',
  candle: 'Candle',
  lockdown: 'Lock down',
  hatch: 'Hatch',
  replace_hens: 'Hens grow old for laying',
  hens_breeding: 'Hens grow old for breeding',
  cocks_breeding: 'Cocks grow old for breeding',
  quarantine: 'Quarantine',
  set_eggs: 'Set eggs',
  pack: 'Pack',
};

/** What is due of one thing, the earliest first, however far ahead the house has drawn it. */
export function NextDue({ subject }: { subject: Subject }) {
  const stands = { broods: broods.value, settings: settings.value, trays: trays.value, lines: lines.value };
  const list = dues.value
    .filter((d) => d.subject === subject && !d.done && leftOf(d, broods.value, settings.value) !== 0)
    .map((d) => onItsDays(d, stands))
    .sort((a, b) => a.last_day.localeCompare(b.last_day));
  if (list.length === 0) return null;
  return (
    <ul>
      {list.map((due) => {
        const { big, small } = howLong(due, today.value);
        return (
          <li key={due.id}>
            {WORK[due.work] ?? due.work}: {showDay(due.first_day, today.value)} to{' '}
            {showDay(due.last_day, today.value)},{' '}
            <b class={big === 'late' ? 'late' : undefined}>
              {big} {small}
            </b>
          </li>
        );
      })}
    </ul>
  );
}
