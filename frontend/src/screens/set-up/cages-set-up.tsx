import { useState } from 'preact/hooks';
import { type CageRow, cages, lines, newId, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, PickField, TextField } from '../../parts/field.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from './owners-only.tsx';
import { codesOf, moved, nextPlace, reversed } from './row-of-cages.ts';
import './set-up.css';

export const lineOptions = () => [
  { value: '', name: 'No line yet' },
  ...lines.value.map((l) => ({ value: l.id, name: l.name })),
];

export const asBody = (cage: CageRow) => ({
  cage: cage.id,
  code: cage.code,
  row: cage.row,
  place: cage.place,
  line: cage.line,
  closed: cage.closed,
});

/** Cages in the order of the walk, and a whole row of new ones at once. */
export function CagesSetUp() {
  const open = cages.value.filter((c) => !c.closed);
  const { wrong, run, busy } = useWriting();
  const move = (cage: CageRow, by: -1 | 1) =>
    run(async () => {
      const inWalk = [...open].sort((a, b) => a.place - b.place);
      for (const c of moved(inWalk, cage.id, by)) await write('cage', asBody(c));
    });
  const turn = (row: string) =>
    run(async () => {
      for (const c of reversed(open, row)) await write('cage', asBody(c));
    });
  const inWalk = [...open].sort((a, b) => a.place - b.place);
  const rows = [...new Set(inWalk.map((c) => c.row))].filter((row) => reversed(open, row).length > 0);
  return (
    <BookPage title="Cages" back={{ href: '/set-up', name: 'Set-up' }}>
      <OwnersOnly>
        <div class="spread">
          <div>
            <NewRow />
          </div>
          <section class="stack">
            <h2>
              In walking order <small class="quiet">{amount(open.length, 'cage')}</small>
            </h2>
            {wrong !== null && (
              <Notice kind="refused">
                <p>{wrong}</p>
              </Notice>
            )}
            {rows.length > 0 && (
              <div class="side-by-side">
                {rows.map((row) => (
                  <Button key={row} disabled={busy} onClick={() => turn(row)}>
                    Turn row {row} round
                  </Button>
                ))}
              </div>
            )}
            <Ledger narrow label="Cages in walking order">
              {inWalk.map((cage, i) => (
                <Row
                  key={cage.id}
                  margin={<b>{cage.code}</b>}
                  end={
                    <span class="moves">
                      <Button
                        kind="quiet"
                        disabled={busy || i === 0}
                        aria-label={`${cage.code} earlier in the walk`}
                        onClick={() => move(cage, -1)}
                      >
                        Earlier
                      </Button>
                      <Button
                        kind="quiet"
                        disabled={busy || i === inWalk.length - 1}
                        aria-label={`${cage.code} later in the walk`}
                        onClick={() => move(cage, 1)}
                      >
                        Later
                      </Button>
                    </span>
                  }
                >
                  <a href={`/set-up/cage/${cage.id}`}>
                    <strong>Row {cage.row}</strong>
                    <small>{lines.value.find((l) => l.id === cage.line)?.name}</small>
                  </a>
                </Row>
              ))}
            </Ledger>
          </section>
        </div>
      </OwnersOnly>
    </BookPage>
  );
}

function NewRow() {
  const [row, setRow] = useState('');
  const [from, setFrom] = useState(1);
  const [to, setTo] = useState(10);
  const [line, setLine] = useState('');
  const [said, setSaid] = useState('');
  const { wrong, run, busy } = useWriting();
  const codes = codesOf(
    { row, from, to },
    cages.value.map((c) => c.code),
  );
  const keep = () =>
    run(async () => {
      if (typeof codes === 'string') return;
      let place = nextPlace(cages.value);
      for (const code of codes)
        await write('cage', {
          cage: newId(),
          code,
          row: row.trim(),
          place: place++,
          line: line === '' ? null : line,
          closed: false,
        });
      setSaid(`${amount(codes.length, 'cage')} written: ${codes[0]} to ${codes.at(-1)}.`);
      setRow('');
    });
  return (
    <section class="stack">
      <h2>New cages</h2>
      <TextField
        label="Row"
        value={row}
        onText={setRow}
        maxLength={10}
        hint="A letter or a short name; it comes first in each code."
      />
      <CountField label="From" value={from} onCount={setFrom} />
      <CountField
        label="To"
        value={to}
        onCount={setTo}
        hint="For one cage, the same number twice. A row may run backwards: from 15 to 1."
      />
      <PickField label="Line" value={line} onPick={setLine} options={lineOptions()} />
      {row.trim() !== '' && (
        <p class={typeof codes === 'string' ? 'late' : undefined}>
          {typeof codes === 'string'
            ? codes
            : codes.length > 6
              ? `${codes.slice(0, 3).join(', ')} ... ${codes.at(-1)}`
              : codes.join(', ')}
        </p>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      {said !== '' && <p role="status">{said}</p>}
      <Button kind="main" disabled={busy || typeof codes === 'string'} onClick={keep}>
        {typeof codes === 'string' ? 'Add cages' : `Add ${amount(codes.length, 'cage')}`}
      </Button>
    </section>
  );
}
