import type { Shown } from '../../book/trip/notebook.ts';
import { FIELD } from './words.ts';

/** The top of the sheet as it stands, and over each column what it is read as. */
export function FirstRows({ shown }: { shown: Shown }) {
  const { plan } = shown;
  const role = (n: number): string => {
    if (plan.across.includes(n)) return 'Eggs';
    const name = Object.keys(plan.columns).find((each) => plan.columns[each] === n);
    return name === undefined ? 'not read' : (FIELD[name] ?? name);
  };
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls must be reached by the keyboard (WCAG 2.1.1)
    <section class="sheet-rows" tabIndex={0} aria-label="The top of the sheet">
      <table>
        <thead>
          <tr>
            {shown.headings.map((heading, n) => (
              <th key={n} scope="col" data-unread={role(n) === 'not read' || undefined}>
                <small>{role(n)}</small>
                {heading || `column ${n + 1}`}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {shown.first_rows.map((cells, r) => (
            <tr key={r}>
              {cells.map((cell, n) => (
                <td key={n} data-unread={role(n) === 'not read' || undefined}>
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
