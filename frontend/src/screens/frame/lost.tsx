import { lossRead, storage } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';

/** The browser has lost what it kept here: said until somebody has read it, and never passed over as a new phone. */
export function Lost() {
  if (!storage.value.lost) return null;
  return (
    <Notice kind="refused">
      <p>
        <b>The browser has lost the book that was kept on this phone.</b> What the house has comes again. What
        was written here and not yet sent is lost: look through the last rounds, and write again what is
        missing.
      </p>
      <Button onClick={lossRead}>I have read this</Button>
    </Notice>
  );
}
