import { link, syncNow } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Page } from '../../parts/page.tsx';

/** Nobody has begun this book yet, and only the one-time link may. */
export function Unclaimed() {
  return (
    <Page title="A new book">
      <p class="lead">Nobody has begun this book yet.</p>
      <p>
        When Barnbook was started it printed a link that works once. Open that link, here or on your phone:
        whoever opens it becomes the owner. So nobody else on the network can take the book.
      </p>
      <p class="quiet">Cannot find it? Stop Barnbook and start it again: it prints a fresh link.</p>
      <Button disabled={link.value.state === 'sending'} onClick={() => void syncNow()}>
        I have begun it on another device
      </Button>
    </Page>
  );
}
