import { useEffect, useState } from 'preact/hooks';
import { type CageRow, cages, farm, lines } from '../../book/index.ts';
import { phoneAddress } from '../../book/trip/phone-address.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { PickField } from '../../parts/field.tsx';
import { Qr } from '../../parts/qr.tsx';
import { BookPage } from '../frame/book-page.tsx';
import './cage-cards.css';

/** Cards to print, cut and hang on the cages. Birds come and go, so they are on no card: the square opens the page that has them. */
export function CageCards() {
  const open = cages.value.filter((cage) => !cage.closed);
  const rows = [...new Set(open.map((cage) => cage.row))];
  const [row, setRow] = useState('');
  const [address, setAddress] = useState<string | null | undefined>();
  useEffect(() => void phoneAddress().then(setAddress, () => setAddress(null)), []);
  const chosen = row === '' ? open : open.filter((cage) => cage.row === row);
  return (
    <BookPage title="Cards for the cages" back={{ href: '/set-up', name: 'Set-up' }}>
      <div class="card-keys">
        {rows.length > 1 && (
          <PickField
            label="Which"
            value={row}
            options={[
              { value: '', name: 'Every cage' },
              ...rows.map((name) => ({ value: name, name: `Row ${name}` })),
            ]}
            onPick={setRow}
          />
        )}
        <Button kind="main" disabled={chosen.length === 0 || address === undefined} onClick={() => print()}>
          Print {amount(chosen.length, 'card')}
        </Button>
        {open.length === 0 && <p>The book has no open cage yet.</p>}
        {address === null ? (
          <p class="late">
            No phone reaches the house as it is served now, so the cards have no square. Open the house to the
            phones first (on its machine: barnbook serve --home), then print.
          </p>
        ) : (
          <p class="quiet">
            Ten on a sheet, to cut along the lines. A phone's camera reads the square and opens the cage, with
            the house closed too, if that phone has the book. If the house gets another address, print them
            again.
          </p>
        )}
      </div>
      <div class="cage-cards">
        {chosen.map((cage) => (
          <Card key={cage.id} cage={cage} address={address ?? null} />
        ))}
      </div>
    </BookPage>
  );
}

function Card({ cage, address }: { cage: CageRow; address: string | null }) {
  const line = lines.value.find((each) => each.id === cage.line);
  return (
    <article class="cage-card" aria-label={`Cage ${cage.code}`}>
      <div>
        <h2>{cage.code}</h2>
        <p>Row {cage.row}</p>
        <p>{line?.name ?? ' '}</p>
        <p class="card-farm">{farm.value?.name}</p>
      </div>
      {address !== null && (
        <Qr class="card-qr" label={`Opens cage ${cage.code}`} text={`${address}/cage/${cage.id}`} />
      )}
    </article>
  );
}
