import { useState } from 'preact/hooks';
import { type EntryView, inWords, type Question, today } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { showDay, showTime } from '../../parts/days.ts';
import { StrikeSheet } from '../entries/entries-of.tsx';
import { mayStrike } from '../frame/may-strike.ts';
import { who } from '../frame/who.ts';

/** Where it can be looked at, and put right by a new entry. */
function pageOf({ body }: EntryView): { href: string; name: string } | null {
  const about = body as { cage?: string | null; brood?: string | null };
  if (about.cage) return { href: `/cage/${about.cage}`, name: 'The cage' };
  if (about.brood) return { href: `/brood/${about.brood}`, name: 'The brood' };
  return null;
}

const SHOWN = 4;

/** A number that the barn could hardly have given: it counts, and somebody is asked to look. */
export function Doubted({ question }: { question: Question }) {
  const [all, setAll] = useState(false);
  const { entries } = question;
  const shown = all ? entries : entries.slice(0, SHOWN);
  return (
    <article class="asked">
      <p>{question.detail}</p>
      {shown.map((entry) => (
        <Entry key={entry.id} entry={entry} />
      ))}
      {shown.length < entries.length && (
        <Button onClick={() => setAll(true)}>All {entries.length} entries</Button>
      )}
    </article>
  );
}

function Entry({ entry }: { entry: EntryView }) {
  const [striking, setStriking] = useState(false);
  const page = pageOf(entry);
  return (
    <div class="entry">
      <h3>{inWords(entry)}</h3>
      <p class="quiet">
        {who(entry.author)}, {entry.day === today.value ? 'today' : showDay(entry.day, today.value)}{' '}
        {showTime(entry.stamp)}
      </p>
      <div class="side-by-side">
        {page && (
          <a class="button" href={page.href}>
            {page.name}
          </a>
        )}
        {mayStrike(entry) && (
          <Button kind="strike" onClick={() => setStriking(true)} aria-label={`Strike: ${inWords(entry)}`}>
            Strike it
          </Button>
        )}
      </div>
      {striking && <StrikeSheet entry={entry} onClose={() => setStriking(false)} />}
    </div>
  );
}
