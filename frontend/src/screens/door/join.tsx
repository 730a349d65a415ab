import { useState } from 'preact/hooks';
import { comeIn, whoComesIn } from '../../book/trip/house-people.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Page } from '../../parts/page.tsx';
import { go } from '../../parts/route.ts';
import { NotKept } from '../frame/not-kept.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { useAsked } from '../people/use-asked.ts';
import { deviceName } from './device-name.ts';
import './door.css';

/** Coming in by a code that works once: a new phone, somebody new, a new password. */
export function Join({ code }: { code: string }) {
  const who = useAsked(() => whoComesIn(code));
  const [password, setPassword] = useState('');
  const { wrong, field, busy, run } = useWriting();
  const start = async (event: Event) => {
    event.preventDefault();
    if (await run(() => comeIn(code, password, deviceName()))) go('/', 'replace');
  };
  if (who.found === null)
    return (
      <Page title="Come in">
        {who.wrong !== null && (
          <Notice kind="refused">
            <p>{who.wrong}</p>
            <Button onClick={who.again}>Try again</Button>
          </Notice>
        )}
      </Page>
    );
  const { name, farm, role, new_password: asks } = who.found;
  return (
    <Page title={`Come in, ${name}`}>
      <NotKept />
      <form class="stack" onSubmit={start}>
        <p>
          This device will write in the book of <b>{farm}</b> as <b>{name}</b>, {role}.
        </p>
        {asks && (
          <>
            <input type="text" name="username" autocomplete="username" value={name} hidden readOnly />
            <TextField
              label="Choose a password"
              type="password"
              value={password}
              onText={setPassword}
              name="new-password"
              autocomplete="new-password"
              required
              hint="A few words are better than one."
              wrong={field === 'password' ? wrong : null}
            />
          </>
        )}
        {wrong !== null && field !== 'password' && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        <Button kind="main" type="submit" disabled={busy || (asks && password === '')}>
          {busy ? 'Coming in' : 'Come in'}
        </Button>
      </form>
    </Page>
  );
}
