import { useState } from 'preact/hooks';
import { Button } from '../../parts/button.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go, type Params } from '../../parts/route.ts';
import { Sheet } from '../../parts/sheet.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { CustomerForm } from './customer-form.tsx';
import { useCustomers } from './use-customers.ts';

const BACK = { href: '/customers', name: 'Customers' };

/** Somebody outside the barn. `new` writes one down. */
export function CustomerPage({ customer: id }: Params) {
  return (
    <BookPage title={id === 'new' ? 'A new customer' : 'Customer'} back={BACK}>
      <OwnersOnly>
        {id === 'new' ? (
          <CustomerForm onKept={() => go('/customers', 'replace')} />
        ) : (
          <Known id={id as string} />
        )}
      </OwnersOnly>
    </BookPage>
  );
}

function Known({ id }: { id: string }) {
  const { list, wrong, again } = useCustomers();
  const [erasing, setErasing] = useState(false);
  const [kept, setKept] = useState(false);
  if (wrong !== null)
    return (
      <Notice kind="refused">
        <p>{wrong} Customers are kept at the house alone.</p>
        <Button onClick={again}>Try again</Button>
      </Notice>
    );
  if (list === null) return <p class="quiet">Asking the house.</p>;
  const now = list.find((c) => c.id === id);
  if (!now) return <p>Nobody stands here any more: erased, or never kept.</p>;
  return (
    <>
      <CustomerForm now={now} onKept={() => setKept(true)} />
      {kept && <p role="status">Kept.</p>}
      <section class="stack">
        <h2>Erase for good</h2>
        <p class="quiet">
          Name, contact and remarks go from the book, from its file and from every back-up that is put back
          later. The eggs sent and what hatched stay, as a nameless customer's.
        </p>
        <Button kind="strike" onClick={() => setErasing(true)}>
          Erase this customer
        </Button>
      </section>
      {erasing && <Erase id={id} name={now.name} onClose={() => setErasing(false)} />}
    </>
  );
}

function Erase({ id, name, onClose }: { id: string; name: string; onClose: () => void }) {
  const { wrong, busy, run } = useWriting();
  const erase = () =>
    run(async () => {
      const { eraseCustomer } = await import('../../book/trip/customers.ts');
      await eraseCustomer(id);
    }).then((done) => done && go('/customers', 'replace'));
  return (
    <Sheet title={`Erase ${name}?`} onClose={onClose} question>
      <p>This cannot be undone, not even from a back-up.</p>
      {wrong !== null && (
        <p class="late" role="alert">
          {wrong} Nobody was erased.
        </p>
      )}
      <Button kind="strike" disabled={busy} onClick={() => void erase()}>
        Erase for good
      </Button>
      <Button onClick={onClose}>Keep</Button>
    </Sheet>
  );
}
