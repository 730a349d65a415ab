import { useState } from 'preact/hooks';
import { type EntryView, inWords, me, type Question, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { showDay, showTime } from '../../parts/days.ts';
import { StrikeSheet } from '../entries/entries-of.tsx';
import { mayStrike } from '../frame/may-strike.ts';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';
import { isContradiction } from './one-question.ts';

/** Where it can be looked at, and put right by a new entry. */
function pageOf({ body }: EntryView): { href: string; name: string } | null {
  const about = body as { cage?: string | null; brood?: string | null };
  if (about.cage) return { href: `/cage/${about.cage}`, name: 'The cage' };
  if (about.brood) return { href: `/brood/${about.brood}`, name: 'The brood' };
  return null;
}

const SHOWN = 4;

/**
 * What may be unlikely and right all the same. Where two entries contradict each other (a bird in two cages, more chicks than
 * eggs), one of them is wrong: it is struck, or what is missing is written.
 */
const RIGHT: Record<string, string> = {
  more_eggs_than_hens: 'The count is right',
  weight_far_off: 'The weight is right',
  clock_a_day_off: 'The day is right',
  band_used_twice: 'Both wear this band',
};
const AT_ONCE = 200;

/** A number that the barn could hardly have given: it counts, and somebody is asked to look. */
export function Doubted({ question }: { question: Question }) {
  const [all, setAll] = useState(false);
  const [struck, setStruck] = useState(false);
  const { entries } = question;
  const shown = all ? entries : entries.slice(0, SHOWN);
  return (
    <article class="asked">
      <p>{question.detail}</p>
      {shown.map((entry) => (
        <Entry key={entry.id} entry={entry} onStruck={() => setStruck(true)} />
      ))}
      {shown.length < entries.length && (
        <Button onClick={() => setAll(true)}>All {entries.length} entries</Button>
      )}
      {struck && isContradiction(question) && (
        <p>
          One entry is struck on this phone. Whether the rest agrees now, the house says at the next sync.
        </p>
      )}
      <Right question={question} />
    </article>
  );
}

/** The owner has looked, and it is as written: nobody is asked again. */
function Right({ question: { code, entries } }: { question: Question }) {
  const { run, busy, wrong } = useWriting();
  const words = RIGHT[code];
  if (words === undefined || me.value?.role !== 'owner') return null;
  const answer = () =>
    run(async () => {
      const ids = entries.map(({ id }) => id);
      for (let at = 0; at < ids.length; at += AT_ONCE)
        await write('found_right', { entries: ids.slice(at, at + AT_ONCE), code, note: '' });
    });
  return (
    <>
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button disabled={busy} onClick={answer}>
        {words}
      </Button>
    </>
  );
}

function Entry({ entry, onStruck }: { entry: EntryView; onStruck: () => void }) {
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
      {striking && <StrikeSheet entry={entry} onClose={() => setStriking(false)} onStruck={onStruck} />}
    </div>
  );
}
