import { useState } from 'preact/hooks';
import { link, me, outbox, signIn, storage } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Page } from '../../parts/page.tsx';
import { go } from '../../parts/route.ts';
import { Lost } from '../frame/lost.tsx';
import { NotKept } from '../frame/not-kept.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { deviceName } from './device-name.ts';
import { OtherFarms } from './other-farms.tsx';

export function SignIn() {
  const [name, setName] = useState(me.value?.name ?? '');
  const [password, setPassword] = useState('');
  const [device, setDevice] = useState(deviceName);
  const { wrong, field, busy, run } = useWriting();
  const { waiting } = outbox.value;
  const send = async (event: Event) => {
    event.preventDefault();
    if (await run(() => signIn({ name: name.trim(), password, deviceName: device.trim() })))
      go('/', 'replace');
  };
  return (
    <Page title="Sign in" {...(me.value ? { back: { href: '/', name: 'Today' } } : {})}>
      <Lost />
      {link.value.lastSyncedAt === null && !storage.value.lost && (
        <p class="quiet">
          New here? The book comes to this browser when you have signed in. If one was kept here before, the
          browser has lost it, and with it what had not been sent.
        </p>
      )}
      {waiting > 0 && (
        <Notice>
          <p>
            {waiting} on this phone {waiting === 1 ? 'waits' : 'wait'} to be sent. Each stays the work of the
            person who wrote it, whoever signs in.
          </p>
        </Notice>
      )}
      {link.value.state === 'cannot_reach' && (
        <Notice kind="refused">
          <p>
            The house cannot be reached from here. To sign in, be in the house's network and see that Barnbook
            is running there.
          </p>
        </Notice>
      )}
      <NotKept />
      <OtherFarms />
      <form class="stack" onSubmit={send}>
        <TextField
          label="Name"
          value={name}
          onText={setName}
          name="username"
          autocomplete="username"
          required
          wrong={field === 'name' ? wrong : null}
        />
        <TextField
          label="Password"
          type="password"
          value={password}
          onText={setPassword}
          name="password"
          autocomplete="current-password"
          required
          wrong={field === 'password' ? wrong : null}
        />
        <TextField
          label="This device"
          value={device}
          onText={setDevice}
          name="device"
          hint="How it is called in the list of phones."
          wrong={field === 'device_name' ? wrong : null}
        />
        {wrong !== null && !['name', 'password', 'device_name'].includes(field ?? '') && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        <Button kind="main" type="submit" disabled={busy || name.trim() === '' || password === ''}>
          {busy ? 'Asking the house' : 'Sign in'}
        </Button>
      </form>
    </Page>
  );
}
