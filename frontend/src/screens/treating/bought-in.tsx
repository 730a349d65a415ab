import { useState } from 'preact/hooks';
import { lines, newId, refusal, today, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { dayAfter } from '../../parts/days.ts';
import { CountField, PickField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';

/** Birds bought in: a brood of their own, kept apart until a day that the owner sets. */
export function BoughtIn() {
  const [line, setLine] = useState(lines.value[0]?.id ?? '');
  const [code, setCode] = useState('');
  const [hatched, setHatched] = useState('');
  const [hens, setHens] = useState(0);
  const [cocks, setCocks] = useState(0);
  const [unsexed, setUnsexed] = useState(0);
  const [apart, setApart] = useState('');
  const [sure, setSure] = useState(false);
  const [note, setNote] = useState('');
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const birds = hens + cocks + unsexed;
  const keep = () => {
    const body = {
      brood: newId(),
      line,
      code: code.trim(),
      hatched_on: hatched,
      hatch_day_sure: sure,
      hens,
      cocks,
      unsexed,
      quarantine_until: apart === '' ? null : apart,
      note,
    };
    const no = refusal('birds_bought_in', body);
    if (no) setWrong(no.detail, no.field);
    else
      void run(() => write('birds_bought_in', body)).then(
        (done) => done && go(`/brood/${body.brood}`, 'replace'),
      );
  };
  return (
    <BookPage title="Birds bought in" back={{ href: '/broods', name: 'Broods' }}>
      <section class="stack">
        <PickField
          label="Line"
          value={line}
          onPick={setLine}
          options={lines.value.map((l) => ({ value: l.id, name: l.name }))}
          wrong={at('line')}
        />
        <TextField label="Code" value={code} onText={setCode} maxLength={20} wrong={at('code')} />
        <TextField
          label="Hatched on"
          type="date"
          value={hatched}
          onText={setHatched}
          hint="As near as the seller knows."
          wrong={at('hatched_on')}
        />
        <label class="tick">
          <input type="checkbox" checked={sure} onChange={() => setSure(!sure)} /> The day of hatch is sure
        </label>
        <CountField label="Hens" value={hens} onCount={setHens} />
        <CountField label="Cocks" value={cocks} onCount={setCocks} />
        <CountField label="Not sexed" value={unsexed} onCount={setUnsexed} />
        <TextField
          label="Kept apart until"
          type="date"
          value={apart}
          onText={setApart}
          hint="That day still within. How long is for you and your veterinarian to say."
          wrong={at('quarantine_until')}
        />
        <Button onClick={() => setApart(dayAfter(today.value, 30))}>30 days from today</Button>
        <small class="quiet">30 days apart is common practice, no source.</small>
        <TextField
          label="Note"
          value={note}
          onText={setNote}
          maxLength={500}
          hint="No seller's name here: people outside the barn are not in the journal."
        />
        {wrong !== null && field === null && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        <Button
          kind="main"
          disabled={busy || birds === 0 || code.trim() === '' || hatched === '' || line === ''}
          onClick={keep}
        >
          {birds === 0 ? 'At least one bird' : 'Write it down'}
        </Button>
      </section>
    </BookPage>
  );
}
