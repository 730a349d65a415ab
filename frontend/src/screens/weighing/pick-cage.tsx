import { cages } from '../../book/index.ts';
import { BookPage } from '../frame/book-page.tsx';
import './weighing.css';

/** Which cage's eggs are on the scale. */
export function PickCage() {
  const open = cages.value.filter((c) => !c.closed && c.hens + c.unsexed > 0);
  const rows = [...new Set(open.map((c) => c.row))];
  return (
    <BookPage title="Egg weighing">
      <p>Whose eggs are on the scale?</p>
      {rows.map((row) => (
        <section key={row} class="stack">
          <h2>Row {row}</h2>
          <ul class="chips">
            {open
              .filter((c) => c.row === row)
              .map((c) => (
                <li key={c.id}>
                  <a href={`/weigh-eggs/${c.id}`}>{c.code}</a>
                </li>
              ))}
          </ul>
        </section>
      ))}
      {open.length === 0 && <p>No cage has hens in the book yet.</p>}
    </BookPage>
  );
}
