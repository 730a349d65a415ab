import { useState } from 'preact/hooks';
import { farm, me, today } from '../../book/index.ts';
import type { SheetPage } from '../../book/sheet-page.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { figureValue, inUnit, missingSentence, nWords, spanWords } from '../../parts/figure-words.ts';
import type { Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { type HousePage, housePages } from '../frame/house-pages.ts';
import './line-sheet.css';
import { PublicLink } from './public-link.tsx';

/** A line's published figures: to be read, printed on one side, saved, and held beside another line's. */
export function LineSheet({ line: id }: Params) {
  const [beside, setBeside] = useState('');
  const pages = housePages('sheet');
  const page = pages.find(({ line }) => line.id === id);
  const back = { href: '/sheets', name: 'Line sheets' };
  if (!page)
    return (
      <BookPage title="Line sheet" back={back}>
        <p>The house has not reckoned this sheet yet.</p>
      </BookPage>
    );
  const other = pages.find(({ line }) => line.id === beside);
  return (
    <BookPage title={page.body.name} back={back}>
      <div class="line-sheet">
        <p class="sheet-names">
          {page.body.other_names.length > 0 && <>Also sold as {page.body.other_names.join(', ')}. </>}
          Line sheet of {me.value?.farm.name}.
        </p>
        {pages.length > 1 && (
          <label class="beside">
            <span>Side by side with</span>
            <select value={beside} onChange={(event) => setBeside(event.currentTarget.value)}>
              <option value="">no other line</option>
              {pages
                .filter(({ line }) => line.id !== id)
                .map(({ line }) => (
                  <option key={line.id} value={line.id}>
                    {line.name}
                  </option>
                ))}
            </select>
          </label>
        )}
        <Figures pages={other ? [page, other] : [page]} />
        {(other ? [page, other] : [page]).map(({ line, body }) =>
          (body.notes ?? []).length === 0 ? null : (
            <p key={line.id}>
              {other !== undefined && `${line.name}. `}
              {body.notes?.join(' ')}
            </p>
          ),
        )}
        {page.body.laying_life_weeks !== null && (
          <p>
            Laying life, as it is kept here: hens leave at {page.body.laying_life_weeks} weeks of age.
            {other?.body.laying_life_weeks != null &&
              ` ${other.line.name}: ${other.body.laying_life_weeks} weeks.`}
          </p>
        )}
        {(other ? [page, other] : [page]).map((each) => (
          <LeftOff key={each.line.id} page={each} named={other !== undefined} />
        ))}
        <p class="quiet">
          Each figure stands on the farm’s own records of the span beside it. The interval says within what
          limits it would lie, 95 times of 100, with this many records. A shipped hatch and a hatch at home
          are never mixed. Selling or sending eggs and live birds is under local rules.
        </p>
        <div class="sheet-doings">
          <Button kind="main" onClick={() => print()}>
            Print
          </Button>
          {FORMS.map(({ form, name }) => (
            <a key={form} class="button plain" href={`/api/lines/${id}/sheet.${form}`} download>
              {name}
            </a>
          ))}
        </div>
        {me.value?.role === 'owner' && <PublicLink key={page.line.id} line={page.line.id} />}
      </div>
    </BookPage>
  );
}

const FORMS = [
  { form: 'html', name: 'Save as a page' },
  { form: 'csv', name: 'Save as CSV' },
  { form: 'json', name: 'Save as JSON' },
];

type Sheet = HousePage<'sheet'>;

function Figures({ pages }: { pages: Sheet[] }) {
  const keys: { key: string; words: string }[] = [];
  for (const { body } of pages)
    for (const each of body.figures) if (!keys.some(({ key }) => key === each.key)) keys.push(each);
  return (
    <table class="sheet-figures" data-beside={pages.length > 1 || undefined}>
      {pages.length > 1 && (
        <thead>
          <tr>
            <th scope="col">Figure</th>
            {pages.map(({ line }) => (
              <th key={line.id} scope="col">
                {line.name}
              </th>
            ))}
          </tr>
        </thead>
      )}
      <tbody>
        {keys.map(({ key, words }) => (
          <tr key={key}>
            <th scope="row">{words}</th>
            {pages.map(({ line, body }) => (
              <td key={line.id}>
                <OneFigure body={body} of={key} />
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function OneFigure({ body, of }: { body: SheetPage; of: string }) {
  const item = body.figures.find(({ key }) => key === of);
  if (!item) {
    const left_off = body.left_off.some(({ key }) => key === of);
    return <span class="quiet">{left_off ? 'too few records' : 'not of this line'}</span>;
  }
  const figure = inUnit({ ...item.figure, computed_at: 0 }, farm.value?.weight_unit ?? 'g');
  const words = figureValue(figure);
  return (
    <>
      <b>{words?.value.replace('eggs/hen', 'eggs')}</b> <span class="between">{words?.interval}</span>
      <small>
        {nWords(figure)}
        {figure.first_day !== null && ` · ${spanWords(figure, today.value)}`} · reckoned{' '}
        {showDay(item.reckoned_on, today.value)}
      </small>
    </>
  );
}

function LeftOff({ page, named }: { page: Sheet; named: boolean }) {
  if (page.body.left_off.length === 0) return null;
  return (
    <section>
      <h2>Left off, for too few records{named && `: ${page.line.name}`}</h2>
      <ul class="left-off">
        {page.body.left_off.map(({ key, words, missing }) => (
          <li key={key}>
            <b>{words}.</b> {missingSentence({ missing })}
          </li>
        ))}
      </ul>
    </section>
  );
}
