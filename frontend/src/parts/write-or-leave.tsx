import { Button } from './button.tsx';
import { Notice } from './notice.tsx';

/** The end of a form that was opened within a page: what is wrong, and the two ways out of it. */
export function WriteOrLeave({
  wrong,
  busy,
  onWrite,
  onLeave,
}: {
  wrong: string | null;
  busy: boolean;
  onWrite: () => void;
  onLeave: () => void;
}) {
  return (
    <>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong}</p>
        </Notice>
      )}
      <div class="side-by-side">
        <Button kind="main" disabled={busy} onClick={onWrite}>
          Write it down
        </Button>
        <Button onClick={onLeave}>Leave it</Button>
      </div>
    </>
  );
}
