import { type BroodRow, cages, lines, settings, today, trays } from '../../book/index.ts';
import { showDay } from '../../parts/days.ts';
import { Parents } from './parents.tsx';

/** Where a brood came from and how it hatched: its setting and source cages, its chicks by plumage, its brooder, its quarantine. */
export function Origin({ brood }: { brood: BroodRow }) {
  const line = lines.value.find((l) => l.id === brood.line);
  const setting = brood.setting === null ? undefined : settings.value.get(brood.setting);
  const sources = [
    ...new Set(
      brood.trays.flatMap((id) => {
        const cage = trays.value.get(id)?.cage;
        return cage ? [cages.value.find((c) => c.id === cage)?.code ?? '(not here yet)'] : [];
      }),
    ),
  ];
  const seen = Object.entries(brood.plumage).filter(([, n]) => n !== 0);
  const total = seen.reduce((n, [, chicks]) => n + chicks, 0);
  const apart = brood.quarantine_until;
  const words = (key: string) =>
    key === '' ? 'not looked at' : (line?.plumage.find((c) => c.key === key)?.words ?? key);
  return (
    <>
      {brood.setting !== null && (
        <p>
          From setting <a href={`/setting/${brood.setting}`}>{setting?.code ?? '(not here yet)'}</a>
          {sources.length > 0 && `: eggs of cage ${sources.join(', ')}`}.
        </p>
      )}
      <Parents brood={brood} />
      {brood.bought_in && <p>Bought in{brood.hatch_day_sure ? '' : '; the day of hatch is not sure'}.</p>}
      {apart !== null && apart >= today.value && (
        <p class="late">Kept apart until {showDay(apart, today.value)}, that day still within.</p>
      )}
      {brood.brooder !== '' && (
        <p>
          In {/^brooder\b/i.test(brood.brooder) ? '' : 'brooder '}
          {brood.brooder}.
        </p>
      )}
      {seen.length > 0 && (
        <p>
          Plumage of {total} chicks:{' '}
          {seen
            .sort((a, b) => b[1] - a[1])
            .map(([key, n]) => `${n} ${words(key)}`)
            .join(', ')}
          .
        </p>
      )}
      {total > brood.chicks && (
        <p class="late">
          {total} chicks were looked at, but the brood is written with {brood.chicks}. See the entries, and
          strike what is wrong.
        </p>
      )}
    </>
  );
}
