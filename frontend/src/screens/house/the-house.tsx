import { useState } from 'preact/hooks';
import { BookPage } from '../frame/book-page.tsx';
import { OwnersOnly } from '../set-up/owners-only.tsx';
import { BackUpsOfTheHouse } from './back-ups.tsx';
import { IsItWell } from './is-it-well.tsx';
import './house.css';

/** The machine that keeps the book: whether it is well, and the back-ups that it has made. */
export function TheHouse() {
  // A back-up made changes what the house finds.
  const [made, setMade] = useState(0);
  return (
    <BookPage title="The house" back={{ href: '/set-up', name: 'Set-up' }}>
      <OwnersOnly>
        <div class="spread">
          <div>
            <IsItWell since={made} />
          </div>
          <div>
            <BackUpsOfTheHouse onMade={() => setMade((n) => n + 1)} />
          </div>
        </div>
      </OwnersOnly>
    </BookPage>
  );
}
