import { useState } from 'preact/hooks';
import { type Bodies, broods, lines, me, newId, refusal, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { CountField, LongField, PickField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';

const FIELDS = ['code', 'hatched_on', 'chicks', 'line'];

/** A brood: the chicks of one hatch of one line. `new` makes one. */
export function BroodForm({ brood: id }: Params) {
  const now = broods.value.find((b) => b.id === id);
  const [line, setLine] = useState(now?.line ?? lines.value[0]?.id ?? '');
  const [code, setCode] = useState(now?.code ?? '');
  const [hatched, setHatched] = useState(now?.hatched_on ?? today.value);
  const [chicks, setChicks] = useState(now?.chicks ?? 30);
  const [note, setNote] = useState(now?.note ?? '');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const keep = () => {
    const body: Bodies['brood'] = {
      brood: now?.id ?? newId(),
      line,
      code: code.trim(),
      hatched_on: hatched,
      chicks,
      note,
    };
    const no = refusal('brood', body);
    if (no) setWrong(no.detail, no.field);
    else if (hatched > today.value)
      setWrong(
        `${showDay(hatched, today.value)} is still to come. A brood is written down when it has hatched: give the day of its hatch.`,
        'hatched_on',
      );
    else void run(() => write('brood', body)).then((done) => done && go(`/brood/${body.brood}`, 'replace'));
  };
  return (
    <BookPage
      title={now ? `Brood ${now.code}` : 'A hatched brood'}
      back={{ href: now ? `/brood/${now.id}` : '/broods', name: now ? now.code : 'Broods' }}
    >
      {lines.value.length === 0 ? (
        <p>
          A brood is of a line, and no line is in the book yet.{' '}
          {me.value?.role === 'owner' && <a href="/set-up/line/new">Write down a line first.</a>}
        </p>
      ) : (
        <section class="stack">
          <PickField
            label="Line"
            value={line}
            onPick={setLine}
            options={lines.value.map((l) => ({ value: l.id, name: l.name }))}
            wrong={at('line')}
          />
          <TextField
            label="Code"
            value={code}
            onText={setCode}
            maxLength={20}
            hint="As on the brooder: 26-03, for instance."
            wrong={at('code')}
          />
          <TextField
            label="Hatched on"
            type="date"
            value={hatched}
            onText={setHatched}
            wrong={at('hatched_on')}
          />
          <CountField label="Chicks" value={chicks} onCount={setChicks} wrong={at('chicks')} />
          <LongField label="Note" value={note} onText={setNote} />
          {wrong !== null && !FIELDS.includes(field ?? '') && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          <Button kind="main" disabled={busy || code.trim() === '' || hatched === ''} onClick={keep}>
            Write it down
          </Button>
        </section>
      )}
    </BookPage>
  );
}
