import { useState } from 'preact/hooks';
import { type Plan, readNotebook, type Shown } from '../../book/trip/notebook.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { PickField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { Columns } from './columns.tsx';
import { FirstRows } from './first-rows.tsx';
import { type Done, Outcome } from './outcome.tsx';
import './notebook.css';

/** Bring in a notebook: at the house, since the house reads the file. */
export function Notebook() {
  return (
    <BookPage title="Bring in a notebook" back={{ href: '/set-up', name: 'Set-up' }}>
      <OwnersOnly>
        <Bringing />
      </OwnersOnly>
    </BookPage>
  );
}

function Bringing() {
  const [file, setFile] = useState<File | null>(null);
  const [sheet, setSheet] = useState<string | undefined>();
  const [shown, setShown] = useState<Shown | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const [done, setDone] = useState<Done | null>(null);

  const asking = async (what: () => Promise<void>) => {
    setBusy(true);
    setWrong(null);
    try {
      await what();
    } catch (error) {
      setWrong(error instanceof Error ? error.message : 'The house cannot be reached.');
    }
    setBusy(false);
  };
  const look = (of: File, how: { sheet?: string | undefined; plan?: Plan | undefined }) =>
    asking(async () => {
      setDone(null);
      setShown(await readNotebook(of, how));
    });
  const choose = (of: File | undefined) => {
    if (of === undefined) return;
    setFile(of);
    setSheet(undefined);
    setShown(null);
    void look(of, {});
  };
  const write = (of: File, seen: Shown) =>
    asking(async () => {
      const all = seen.entries - seen.already;
      const counts: Record<string, number> = {};
      const refused: string[] = [];
      for (let left = all; ; ) {
        setDone({ all, left, counts, refused });
        const next = await readNotebook(of, { sheet, plan: seen.plan, agreed: seen.agreement });
        for (const [word, n] of Object.entries(next.written?.counts ?? {}))
          counts[word] = (counts[word] ?? 0) + n;
        refused.push(...(next.written?.refused ?? []));
        left = next.written?.left ?? 0;
        if (left === 0) {
          setDone({ all, left, counts, refused });
          setShown(next);
          return;
        }
      }
    });

  return (
    <>
      <p>
        A spreadsheet of egg counts, weights or hatches (CSV or XLSX) becomes entries of the book, each under
        your name and on its own day. Nothing is written before you have seen what would be. The same file
        brought in twice writes nothing twice.
      </p>
      <label class="button main file">
        {file === null ? 'Choose a file' : 'Choose another file'}
        <input
          type="file"
          accept=".csv,.tsv,.txt,.xlsx"
          disabled={busy}
          onChange={(event) => choose(event.currentTarget.files?.[0])}
        />
      </label>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      {busy && shown === null && <p role="status">The house reads {file?.name}.</p>}
      {file !== null && shown !== null && (
        <>
          <p class="read-as">
            <b>{file.name}</b>: {amount(shown.rows, 'row')}, read as {shown.read_as}
          </p>
          {shown.sheets.length > 1 && (
            <PickField
              label="Sheet"
              value={sheet ?? shown.sheets[0] ?? ''}
              options={shown.sheets.map((name) => ({ value: name, name }))}
              onPick={(name) => {
                setSheet(name);
                void look(file, { sheet: name });
              }}
            />
          )}
          <FirstRows shown={shown} />
          <Columns shown={shown} onPlan={(plan) => void look(file, { sheet, plan })} />
          <Outcome shown={shown} done={done} busy={busy} />
          {done === null && shown.missing.length === 0 && shown.entries > shown.already && (
            <Button kind="main" disabled={busy} onClick={() => void write(file, shown)}>
              Write {amount(shown.entries - shown.already, 'entry', 'entries')}
            </Button>
          )}
        </>
      )}
    </>
  );
}
