import { useEffect, useState } from 'preact/hooks';
import { type BeginProgress, begin, whyNotBegin } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Page } from '../../parts/page.tsx';
import { go } from '../../parts/route.ts';
import { useWriting } from '../frame/use-writing.ts';
import { deviceName } from './device-name.ts';
import './door.css';

const FIELDS = ['farm_name', 'zone', 'name', 'password'];

/** The one-time link: whoever holds it is the first owner, and begins an empty book or looks around the example farm. */
export function Begin({ token }: { token: string }) {
  const [choice, setChoice] = useState<'empty' | 'example'>('empty');
  const [farmName, setFarmName] = useState('');
  const [zone, setZone] = useState(() => Intl.DateTimeFormat().resolvedOptions().timeZone);
  const [name, setName] = useState('');
  const [password, setPassword] = useState('');
  const [progress, setProgress] = useState<BeginProgress | null>(null);
  const { wrong, field, busy, run } = useWriting();

  const start = async (event: Event) => {
    event.preventDefault();
    const own =
      choice === 'empty' ? { farmName: farmName.trim(), zone: zone.trim(), name: name.trim(), password } : {};
    if (await run(() => begin({ token, choice, deviceName: deviceName(), ...own }, setProgress)))
      go('/', 'replace');
  };
  const at = (f: string) => (field === f ? wrong : null);
  const [ended, setEnded] = useState<string | null>(null);
  // Asked before anything is typed: a link that has been used takes no form.
  useEffect(() => void whyNotBegin(token).then(setEnded), [token]);

  if (ended !== null)
    return (
      <Page title="Begin the book">
        <Notice kind="refused">
          <p>{ended}</p>
        </Notice>
        <p>Has the book been begun, and you have a name and a password in it?</p>
        <a class="button main" href="/sign-in">
          Sign in
        </a>
      </Page>
    );
  return (
    <Page title="Begin the book">
      <form class="stack" onSubmit={start}>
        <Choice
          label="How to begin"
          value={choice}
          onChoose={setChoice}
          stacked
          options={[
            { value: 'empty', name: 'An empty book', detail: 'your own farm, lines and cages' },
            {
              value: 'example',
              name: 'Look around the example farm',
              detail: 'thirty cages and fourteen months, all invented',
            },
          ]}
        />
        {choice === 'empty' ? (
          <>
            <TextField
              label="Name of the farm"
              value={farmName}
              onText={setFarmName}
              required
              maxLength={80}
              wrong={at('farm_name')}
            />
            <TextField
              label="Time zone"
              value={zone}
              onText={setZone}
              required
              hint="Where the barn stands: it decides when a day begins."
              wrong={at('zone')}
            />
            <TextField
              label="Your name"
              value={name}
              onText={setName}
              name="username"
              autocomplete="username"
              required
              hint="Stands beside everything you write."
              wrong={at('name')}
            />
            <TextField
              label="Password"
              type="password"
              value={password}
              onText={setPassword}
              name="new-password"
              autocomplete="new-password"
              required
              hint="A few words are better than one."
              wrong={at('password')}
            />
          </>
        ) : (
          <p>
            The example is made here and now. For a book of your own later, open the one-time link that the
            house prints when it starts.
          </p>
        )}
        {wrong !== null && !FIELDS.includes(field ?? '') && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        {busy && choice === 'example' && <Making progress={progress} />}
        <Button
          kind="main"
          type="submit"
          disabled={
            busy || (choice === 'empty' && (farmName.trim() === '' || name.trim() === '' || password === ''))
          }
        >
          {busy ? 'Beginning' : choice === 'empty' ? 'Begin' : 'Make the example farm'}
        </Button>
      </form>
    </Page>
  );
}

function Making({ progress }: { progress: BeginProgress | null }) {
  const done = progress?.done ?? 0;
  const total = Math.max(progress?.total ?? 1, 1);
  return (
    <div class="making">
      <label for="making">
        {progress ? `Writing fourteen months: ${done} of ${total}` : 'Writing fourteen months of rounds'}
      </label>
      <progress id="making" max={total} value={progress ? done : undefined} />
    </div>
  );
}
