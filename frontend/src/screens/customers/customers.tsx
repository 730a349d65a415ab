import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { Notice } from '../../parts/notice.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { useCustomers } from './use-customers.ts';

/** People outside the barn: at the house only, for the owner's eyes. */
export function Customers() {
  return (
    <BookPage title="Customers">
      <OwnersOnly>
        <Listed />
      </OwnersOnly>
    </BookPage>
  );
}

function Listed() {
  const { list, wrong, again } = useCustomers();
  return (
    <>
      <p class="quiet">
        Kept at the house and shown to owners while it can be reached. This device keeps none of it; no
        helper's phone gets it, and no table or calendar that is taken out holds it; a back-up does.
      </p>
      {wrong !== null && (
        <Notice kind="refused">
          <p>{wrong} The list is there again as soon as the house answers.</p>
          <Button onClick={again}>Try again</Button>
        </Notice>
      )}
      {list !== null && list.length === 0 && <p>Nobody in the list yet.</p>}
      {list !== null && list.length > 0 && (
        <>
          <p>{amount(list.length, 'customer')}</p>
          <Ledger label="Customers">
            {list.map((c) => (
              <Row key={c.id} href={`/customer/${c.id}`} margin={c.name.slice(0, 1).toUpperCase()}>
                <strong>{c.name}</strong>
                {c.contact !== '' && <span>{c.contact}</span>}
              </Row>
            ))}
          </Ledger>
        </>
      )}
      <a class="button plain" href="/customer/new">
        A new customer
      </a>
    </>
  );
}
