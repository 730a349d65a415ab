import { useState } from 'preact/hooks';
import type { Role } from '../../book/index.ts';
import { askIn, everybody, type Somebody } from '../../book/trip/house-people.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { CodeSheet } from './code-sheet.tsx';
import { ROLES } from './roles.ts';
import { SomebodySheet } from './somebody-sheet.tsx';
import { useAsked } from './use-asked.ts';

/** Who works at the farm: asked in, changed, taken off. */
export function People() {
  return (
    <BookPage title="People" back={{ href: '/set-up', name: 'Set-up' }}>
      <OwnersOnly>
        <Listed />
      </OwnersOnly>
    </BookPage>
  );
}

function Listed() {
  const { found, wrong, again } = useAsked(everybody);
  const [asking, setAsking] = useState(false);
  const [open, setOpen] = useState<Somebody | null>(null);
  const [code, setCode] = useState<{ who: Somebody; forgot: boolean } | null>(null);
  return (
    <>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong} People are looked after at the house: the list is there as soon as it answers.</p>
          <Button onClick={again}>Try again</Button>
        </Notice>
      )}
      <Ledger label="People">
        {found?.map((p) => (
          <Row
            key={p.id}
            margin={p.active ? ROLES[p.role].name : 'Off'}
            end={
              <Button kind="quiet" onClick={() => setOpen(p)}>
                Change<span class="only-read"> {p.name}</span>
              </Button>
            }
          >
            <strong>{p.name}</strong>
            <span>
              {!p.active
                ? 'taken off the book; what they wrote stays'
                : p.signs_in
                  ? ROLES[p.role].detail
                  : 'has not come in yet'}
            </span>
          </Row>
        ))}
      </Ledger>
      <Button kind="main" disabled={found === null} onClick={() => setAsking(true)}>
        Ask somebody in
      </Button>
      {asking && (
        <AskIn
          onClose={() => setAsking(false)}
          onDone={(who) => {
            setAsking(false);
            setCode({ who, forgot: false });
            again();
          }}
        />
      )}
      {open && (
        <SomebodySheet
          who={open}
          onClose={() => setOpen(null)}
          onDone={() => {
            setOpen(null);
            again();
          }}
          onCode={(forgot) => {
            setCode({ who: open, forgot });
            setOpen(null);
          }}
        />
      )}
      {code && (
        <CodeSheet
          {...code}
          onClose={() => {
            setCode(null);
            again();
          }}
        />
      )}
    </>
  );
}

function AskIn({ onClose, onDone }: { onClose: () => void; onDone: (who: Somebody) => void }) {
  const [name, setName] = useState('');
  const [role, setRole] = useState<Role>('helper');
  const { wrong, busy, run } = useWriting();
  return (
    <Sheet title="Ask somebody in" onClose={onClose}>
      <TextField
        label="Their name"
        value={name}
        onText={setName}
        required
        hint="Stands beside everything they write; they sign in with it."
        wrong={wrong}
      />
      <Choice
        label="As"
        stacked
        value={role}
        onChoose={setRole}
        options={(Object.keys(ROLES) as Role[]).map((value) => ({ value, ...ROLES[value] }))}
      />
      <Button
        kind="main"
        disabled={busy || name.trim() === ''}
        onClick={() => run(async () => onDone(await askIn(name.trim(), role)))}
      >
        Ask them in
      </Button>
    </Sheet>
  );
}
