import { useMemo, useState } from 'preact/hooks';
import {
  type Day,
  type EntryView,
  entriesOf,
  inWords,
  loadOlder,
  type Subject,
  strike,
  today,
} from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { daysFrom, showDay, showTime } from '../../parts/days.ts';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { mayStrike } from '../frame/may-strike.ts';
import { useWriting } from '../frame/use-writing.ts';
import { who } from '../frame/who.ts';

const FIRST = 30;
/** So many days of entries a phone keeps. */
const KEPT_DAYS = 90;

interface Props {
  subject: Subject;
  /** The day before which nothing can have been written of it: the hatch of a brood, the setting of eggs. */
  since?: Day;
}

/** All that was written of one cage, brood or line, newest first; what was struck is shown struck. */
export function EntriesOf({ subject, since }: Props) {
  const entries = useMemo(() => entriesOf(subject), [subject]).value;
  const [shown, setShown] = useState(FIRST);
  const [striking, setStriking] = useState<EntryView | null>(null);
  const allHere = since !== undefined && daysFrom(since, today.value) < KEPT_DAYS;
  const [older, setOlder] = useState<'may be' | 'none'>(allHere ? 'none' : 'may be');
  const { run, busy, wrong } = useWriting();
  if (entries === null) return null;
  const more = async () => {
    if (shown < entries.length) setShown(shown + FIRST);
    else
      await run(async () => {
        const found = await loadOlder(subject);
        if (found) setShown(shown + FIRST);
        else setOlder('none');
      });
  };
  return (
    <section class="stack">
      <h2>Entries</h2>
      {entries.length === 0 ? (
        <p class="quiet">Nothing is written here in the last 90 days.</p>
      ) : (
        <Ledger label="Entries, newest first">
          {entries.slice(0, shown).map((entry) => (
            <Row
              key={entry.id}
              struck={entry.struck !== null}
              margin={
                <>
                  <span class="when">
                    {entry.day === today.value ? 'today' : showDay(entry.day, today.value)}
                  </span>
                  {showTime(entry.stamp)}
                </>
              }
              end={
                canBeStruck(entry) && (
                  <Button
                    kind="quiet"
                    onClick={() => setStriking(entry)}
                    aria-label={`Strike: ${inWords(entry)}`}
                  >
                    Strike
                  </Button>
                )
              }
            >
              <span>{bare(inWords(entry))}</span>
              <small>
                {who(entry.author)}
                {PLACE[entry.place] ?? ''}
                {entry.struck && `, struck${entry.struck.why === '' ? '' : `: ${entry.struck.why}`}`}
              </small>
              {entry.reason && !entry.struck && <small class="late">{entry.reason.detail}</small>}
            </Row>
          ))}
        </Ledger>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      {shown < entries.length || older === 'may be' ? (
        <Button disabled={busy} onClick={more}>
          {busy ? 'Asking the house' : 'Older entries'}
        </Button>
      ) : (
        <p class="quiet">That is all there is.</p>
      )}
      {striking && <StrikeSheet entry={striking} onClose={() => setStriking(null)} />}
    </section>
  );
}

/** On the page of a cage or a brood its name need not stand before every line. */
function bare(words: string): string {
  const rest = words.replace(/^(Cage|Brood) [^:,]+[:,] /, '');
  return rest.charAt(0).toUpperCase() + rest.slice(1);
}

const PLACE: Partial<Record<EntryView['place'], string>> = {
  waiting: ', on this phone',
  later: ', on this phone until the house is updated',
  stuck: ', on this phone: the house does not take it',
  waits: ', waits for what it names',
  aside: ', set aside: it counts for nothing',
};

/** A strike itself cannot be struck. */
const canBeStruck = (entry: EntryView): boolean =>
  entry.struck === null && entry.kind !== 'strike' && mayStrike(entry);

interface StrikeProps {
  entry: EntryView;
  onClose: () => void;
  onStruck?: () => void;
}

export function StrikeSheet({ entry, onClose, onStruck }: StrikeProps) {
  const [why, setWhy] = useState('');
  const { run, busy, wrong } = useWriting();
  return (
    <Sheet title="Strike this entry?" onClose={onClose}>
      <p>
        <b>{inWords(entry)}</b>
        <br />
        {who(entry.author)}, {showDay(entry.day, today.value)} {showTime(entry.stamp)}
      </p>
      <p>
        It stays readable, struck through, and counts for nothing. A strike cannot be taken back: write it
        again instead.
      </p>
      <TextField label="Why" value={why} onText={setWhy} maxLength={500} hint="May be left empty." />
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button
        kind="strike"
        disabled={busy}
        onClick={() =>
          run(() => strike(entry.id, why.trim())).then((done) => {
            if (!done) return;
            onStruck?.();
            onClose();
          })
        }
      >
        Strike it
      </Button>
    </Sheet>
  );
}
