import { useEffect, useState } from 'preact/hooks';
import {
  type PublicAddress as Found,
  publicAddress,
  setPublicAddress,
  unsetPublicAddress,
} from '../../book/trip/public-address.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from './owners-only.tsx';

/** Where strangers reach the house, if its owner wants that. The house looks itself whether the address leads to it. */
export function PublicAddress() {
  return (
    <BookPage title="Public address" back={{ href: '/set-up', name: 'Set-up' }}>
      <OwnersOnly>
        <div class="spread">
          <Setting />
          <section class="stack">
            <h2>With it and without</h2>
            <p>
              With a public address, whoever gets eggs from you can report the hatch by a link on the slip, a
              line sheet can be read by a link, and a calendar can fetch what is due.
            </p>
            <p>
              Without it everything works, too: the slip has lines to fill in and send back, the line sheet is
              saved as a page by itself, what is due as a calendar file.
            </p>
            <p class="quiet">
              A name of your own, and a reverse proxy or a tunnel that answers https for it and passes it on
              to this house, make an address public. Whoever has it sees the page to sign in: choose good
              passwords.
            </p>
          </section>
        </div>
      </OwnersOnly>
    </BookPage>
  );
}

function Setting() {
  const [found, setFound] = useState<Found | null>(null);
  const [typed, setTyped] = useState('');
  const { wrong, field, busy, run } = useWriting();
  const heard = (said: Found) => {
    setFound(said);
    setTyped(said.address);
  };
  const look = () => void run(async () => heard(await publicAddress()));
  useEffect(look, []);
  if (found === null)
    return (
      <section class="stack">
        {wrong === null ? (
          <p class="quiet">Asking the house.</p>
        ) : (
          <Notice kind="refused">
            <p>{wrong} The address is kept at the house: it is shown as soon as the house answers.</p>
            <Button disabled={busy} onClick={look}>
              Try again
            </Button>
          </Notice>
        )}
      </section>
    );
  return (
    <section class="stack">
      <h2>Address</h2>
      {found.address === '' ? (
        <p>None is set: no link is given to anybody outside.</p>
      ) : (
        <p>
          <b>{found.address}</b>
          {found.why_not === '' && ' leads to this house: links can be given.'}
        </p>
      )}
      {found.why_not !== '' && (
        <Notice kind="refused">
          <p>{found.why_not} Until then no link is given.</p>
          <Button disabled={busy} onClick={look}>
            Look again
          </Button>
        </Notice>
      )}
      {found.set_by === 'environment' ? (
        <p class="quiet">
          It is set where the house is started, by BARNBOOK_PUBLIC_ADDRESS, and changed only there.
        </p>
      ) : (
        <>
          <TextField
            label="Public address"
            value={typed}
            onText={setTyped}
            maxLength={300}
            hint="https://eggs.example.org"
            wrong={field === 'address' ? wrong : null}
          />
          {wrong !== null && field !== 'address' && (
            <Notice kind="refused">
              <p>{wrong}</p>
            </Notice>
          )}
          <Button
            kind="main"
            disabled={busy || typed.trim() === '' || (typed.trim() === found.address && found.why_not === '')}
            onClick={() => void run(async () => heard(await setPublicAddress(typed.trim())))}
          >
            {busy ? 'The house is looking' : 'Check and keep it'}
          </Button>
          {found.address !== '' && (
            <Button
              kind="strike"
              disabled={busy}
              onClick={() => void run(async () => heard(await unsetPublicAddress()))}
            >
              Give no more links
            </Button>
          )}
        </>
      )}
    </section>
  );
}
