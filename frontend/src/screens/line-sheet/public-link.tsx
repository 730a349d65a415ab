import { useEffect, useState } from 'preact/hooks';
import type { Id } from '../../book/index.ts';
import type { SheetLink } from '../../book/trip/sheet-link.ts';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';
import { useWriting } from '../frame/use-writing.ts';

const house = () => import('../../book/trip/sheet-link.ts');

/** Whoever has the link reads the sheet without an account, while the owner has it on. */
export function PublicLink({ line }: { line: Id }) {
  const [link, setLink] = useState<SheetLink | null>(null);
  const { wrong, busy, run } = useWriting();
  const look = () => run(async () => setLink(await (await house()).sheetLink(line)));
  useEffect(() => void look(), [line]);
  const turn = (on: boolean) =>
    run(async () => {
      const { sheetLink, turnSheetLink } = await house();
      await turnSheetLink(line, on);
      setLink(await sheetLink(line));
    });
  return (
    <section class="stack public-link">
      <h2>Public link</h2>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      {link?.why_not ? (
        <p>
          {link.why_not.split('. ')[0]}. Save the sheet as a page and send that: it opens without the house.
        </p>
      ) : link?.url ? (
        <>
          <p>
            Whoever has this link reads the sheet: <a href={link.url}>{link.url}</a>
          </p>
          <div class="side-by-side">
            <Button
              disabled={busy}
              onClick={() => void run(() => navigator.clipboard.writeText(link.url ?? ''))}
            >
              Copy it
            </Button>
            <Button kind="strike" disabled={busy} onClick={() => void turn(false)}>
              Turn it off
            </Button>
          </div>
        </>
      ) : link ? (
        <>
          <p>It is off. Turned on, whoever has the link reads the sheet without an account.</p>
          <Button disabled={busy} onClick={() => void turn(true)}>
            Turn it on
          </Button>
        </>
      ) : (
        wrong === null && <p class="quiet">Asking the house.</p>
      )}
    </section>
  );
}
