import { useState } from 'preact/hooks';
import { cages, refusal, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { CountField, PickField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { asBody, lineOptions } from './cages-set-up.tsx';
import { OwnersOnly } from './owners-only.tsx';

/** One cage: its code, its row, its place in the walk, the line that stands there; or closed. */
export function CageForm({ cage: id }: Params) {
  const now = cages.value.find((c) => c.id === id);
  const [code, setCode] = useState(now?.code ?? '');
  const [row, setRow] = useState(now?.row ?? '');
  const [place, setPlace] = useState(now?.place ?? 1);
  const [line, setLine] = useState(now?.line ?? '');
  const [closed, setClosed] = useState(now?.closed ?? false);
  const { wrong, field, busy, run, setWrong } = useWriting();
  const at = (f: string) => (field === f ? wrong : null);
  const back = { href: '/set-up/cages', name: 'Cages' };
  if (!now)
    return (
      <BookPage title="Cage" back={back}>
        <p>This cage is not on the phone yet. It comes with the next sync.</p>
      </BookPage>
    );
  const taken = cages.value.some((c) => c.id !== now.id && !c.closed && c.code === code.trim());
  const keep = () => {
    const body = {
      ...asBody(now),
      code: code.trim(),
      row: row.trim(),
      place,
      line: line === '' ? null : line,
      closed,
    };
    const no = refusal('cage', body);
    if (no) setWrong(no.detail, no.field);
    else void run(() => write('cage', body)).then((done) => done && go(`/cage/${now.id}`, 'replace'));
  };
  return (
    <BookPage title={`Cage ${now.code}`} back={back}>
      <OwnersOnly>
        <section class="stack">
          <TextField
            label="Code"
            value={code}
            onText={setCode}
            maxLength={20}
            wrong={taken ? 'Another cage has this code.' : at('code')}
          />
          <TextField label="Row" value={row} onText={setRow} maxLength={20} wrong={at('row')} />
          <CountField label="Place in the walk" value={place} onCount={setPlace} wrong={at('place')} />
          <PickField label="Line" value={line} onPick={setLine} options={lineOptions()} />
          <Choice
            label="In use"
            value={closed ? 'closed' : 'open'}
            onChoose={(v) => setClosed(v === 'closed')}
            options={[
              { value: 'open', name: 'In the walk' },
              { value: 'closed', name: 'Closed' },
            ]}
          />
          {wrong !== null && !['code', 'row', 'place'].includes(field ?? '') && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          <Button kind="main" disabled={busy || taken || code.trim() === ''} onClick={keep}>
            Write it down
          </Button>
        </section>
      </OwnersOnly>
    </BookPage>
  );
}
