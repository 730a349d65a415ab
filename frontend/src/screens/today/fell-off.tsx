import { today } from '../../book/index.ts';
import { daysFrom } from '../../parts/days.ts';
import { Ledger } from '../../parts/ledger.tsx';
import { housePages } from '../frame/house-pages.ts';
import { FellRow } from '../laying/fell-row.tsx';

const SHOWN = 3; // one false alarm a cage-year is one each twelve days in a barn of thirty cages
const STALE_DAYS = 7;

/** The cages that fell off their lay: the three worst, since when and by how much. */
export function FellOff() {
  const fell = housePages('laying').flatMap(({ body, line }) =>
    body.reached !== null && daysFrom(body.reached, today.value) <= STALE_DAYS
      ? body.cages.filter((cage) => cage.fell).map((cage) => ({ cage, line }))
      : [],
  );
  if (fell.length === 0) return null;
  fell.sort((a, b) => (b.cage.fell?.value ?? 0) - (a.cage.fell?.value ?? 0));
  return (
    <section class="stack">
      <h2>Fell off their lay</h2>
      <Ledger narrow label="Cages that fell off their lay">
        {fell.slice(0, SHOWN).map(({ cage, line }) => (
          <FellRow key={cage.cage} cage={cage} line={line.name} />
        ))}
      </Ledger>
      <a href="/laying">
        {fell.length > SHOWN ? `All ${fell.length}, and every cage` : 'Every cage’s laying'}
      </a>
    </section>
  );
}
