import { useState } from 'preact/hooks';
import { type Bodies, type LineRow, me, type PlumageClaim, refusal, write } from '../../book/index.ts';
import type { TrueToTypePage } from '../../book/true-to-type-page.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { TextField } from '../../parts/field.tsx';
import { WriteOrLeave } from '../../parts/write-or-leave.tsx';
import { typedAmount } from '../frame/typed.ts';
import { useWriting } from '../frame/use-writing.ts';

/** What the owner says of the line's plumage; it is an entry, and the house tests it. */
export function Claim({ line, page }: { line: LineRow; page: TrueToTypePage }) {
  const claim = line.claim ?? null;
  const [open, setOpen] = useState(false);
  const said = page.classes.length > 1 || line.plumage.length > 1;
  const parts = Object.entries(claim?.parts ?? {});
  // The house has not tested it yet: it was just said, here or on another phone.
  const newer = claim !== null && parts.length > 0 && page.claim?.said_on !== claim.said_on;
  return (
    <section class="stack">
      <h2>What is said of it</h2>
      <p>
        {parts.length === 0
          ? 'Its chicks are sold as no shares of plumage.'
          : `Sold as ${parts.map(([key, part]) => `${part} ${wordsOf(line, key)}`).join(' : ')}.`}{' '}
        {claim &&
          claim.recessive.length > 0 &&
          `Held to be single recessives: ${claim.recessive.map((key) => wordsOf(line, key)).join(', ')}. ` +
            (claim.met_at_random ? 'Its parents meet at random.' : 'Its parents do not meet at random.')}
      </p>
      {newer && <p class="quiet">The house tests what was just said at the next trip.</p>}
      {me.value?.role === 'owner' && said && !open && (
        <Button onClick={() => setOpen(true)}>Say what it is sold as</Button>
      )}
      {open && <ClaimForm line={line} done={() => setOpen(false)} />}
    </section>
  );
}

const wordsOf = (line: LineRow, key: string): string => line.plumage.find((c) => c.key === key)?.words ?? key;

const NOTHING: Omit<PlumageClaim, 'said_on'> = { parts: {}, recessive: [], met_at_random: false };

function ClaimForm({ line, done }: { line: LineRow; done: () => void }) {
  const claim: Omit<PlumageClaim, 'said_on'> = line.claim ?? NOTHING;
  const [parts, setParts] = useState<Record<string, string>>(
    Object.fromEntries(line.plumage.map(({ key }) => [key, String(claim.parts[key] ?? '')])),
  );
  const [recessive, setRecessive] = useState(claim.recessive);
  const [at_random, setAtRandom] = useState(claim.met_at_random);
  const { wrong, busy, run, setWrong } = useWriting();
  const keep = () => {
    const typed = line.plumage.filter(({ key }) => (parts[key] ?? '').trim() !== '');
    const body: Bodies['plumage_claimed'] = {
      line: line.id,
      parts: typed.map(({ key }) => ({ key, part: typedAmount(parts[key] ?? '') })),
      recessive,
      met_at_random: at_random,
      note: '',
    };
    const no = refusal('plumage_claimed', body);
    if (no) setWrong(no.detail);
    else void run(() => write('plumage_claimed', body)).then((kept) => kept && done());
  };
  return (
    <div class="stack">
      <p class="quiet">
        Parts of all chicks: 97, 2 and 1, or 0.97 and 0.03. All left empty: it is sold as nothing.
      </p>
      <div class="side-by-side">
        {line.plumage.map(({ key, words }) => (
          <TextField
            key={key}
            label={words}
            value={parts[key] ?? ''}
            inputMode="decimal"
            onText={(text) => setParts({ ...parts, [key]: text })}
          />
        ))}
      </div>
      {line.plumage
        .filter(({ is_type }) => !is_type)
        .map(({ key, words }) => (
          <Choice
            key={key}
            label={`${words} is`}
            value={recessive.includes(key) ? 'recessive' : 'other'}
            options={[
              { value: 'other', name: 'Not said' },
              { value: 'recessive', name: 'A single recessive' },
            ]}
            onChoose={(to) =>
              setRecessive(
                to === 'recessive' ? [...recessive, key] : recessive.filter((each) => each !== key),
              )
            }
          />
        ))}
      <Choice
        label="The line’s parents meet"
        value={at_random ? 'random' : 'chosen'}
        options={[
          { value: 'chosen', name: 'In cages, chosen' },
          { value: 'random', name: 'At random' },
        ]}
        onChoose={(to) => setAtRandom(to === 'random')}
      />
      <WriteOrLeave wrong={wrong} busy={busy} onWrite={keep} onLeave={done} />
    </div>
  );
}
