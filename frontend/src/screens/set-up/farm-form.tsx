import { useState } from 'preact/hooks';
import { farm, type Round, type WeightUnit, write } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { go } from '../../parts/route.ts';
import { BookPage } from '../frame/book-page.tsx';
import { useWriting } from '../frame/use-writing.ts';
import { OwnersOnly } from './owners-only.tsx';
import './set-up.css';

const BACK = { href: '/set-up', name: 'Set-up' };

/** A key that stays the same when the name is changed later: entries hold it. */
function keyFor(name: string, taken: string[]): string {
  const plain =
    name
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '_')
      .replace(/^_+|_+$/g, '')
      .slice(0, 16) || 'round';
  let key = plain;
  for (let n = 2; taken.includes(key); n++) key = `${plain}_${n}`;
  return key;
}

export function FarmForm() {
  const now = farm.value;
  const [name, setName] = useState(now?.name ?? '');
  const [zone, setZone] = useState(now?.zone ?? '');
  const [unit, setUnit] = useState<WeightUnit>(now?.weight_unit ?? 'g');
  const [rounds, setRounds] = useState<Round[]>(now?.rounds ?? []);
  const { wrong, field, busy, run } = useWriting();
  const change = (at: number, to: Partial<Round>) =>
    setRounds(rounds.map((r, i) => (i === at ? { ...r, ...to } : r)));
  const add = () => setRounds([...rounds, { key: '', name: '', after_lay: true }]);
  const keep = () =>
    run(() => {
      const keyed: Round[] = [];
      for (const r of rounds)
        keyed.push({
          ...r,
          name: r.name.trim(),
          key:
            r.key ||
            keyFor(
              r.name,
              [...rounds, ...keyed].map((k) => k.key),
            ),
        });
      return write('farm', { name: name.trim(), zone: zone.trim(), weight_unit: unit, rounds: keyed });
    }).then((done) => done && go('/set-up'));
  const at = (f: string) => (field === f ? wrong : null);

  return (
    <BookPage title="Farm" back={BACK}>
      <OwnersOnly>
        <div class="spread">
          <section class="stack">
            <TextField label="Name" value={name} onText={setName} maxLength={80} wrong={at('name')} />
            <TextField
              label="Time zone"
              value={zone}
              onText={setZone}
              hint="It decides when a day begins and ends."
              wrong={at('zone')}
            />
            <Choice
              label="Weights in"
              value={unit}
              onChoose={setUnit}
              options={[
                { value: 'g', name: 'Grams' },
                { value: 'oz', name: 'Ounces' },
              ]}
            />
          </section>
          <section class="stack">
            <h2>Rounds of a day</h2>
            {/* That they lay late in the day: from memory. */}
            <p class="quiet">
              Quail lay mostly late in the day, so what a morning round finds was mostly laid the day before.
            </p>
            {rounds.map((round, i) => (
              <fieldset key={i} class="round-field">
                <TextField
                  label={`Round ${i + 1}`}
                  value={round.name}
                  onText={(text) => change(i, { name: text })}
                  maxLength={40}
                />
                <Choice
                  label={`Eggs of round ${i + 1} belong to`}
                  labelOnlyRead
                  stacked
                  value={round.after_lay ? 'same' : 'before'}
                  onChoose={(v) => change(i, { after_lay: v === 'same' })}
                  options={[
                    { value: 'before', name: 'Laid up to the day before' },
                    { value: 'same', name: 'Laid the same day' },
                  ]}
                />
                {rounds.length > 1 && (
                  <Button kind="quiet" onClick={() => setRounds(rounds.filter((_, j) => j !== i))}>
                    Leave this round out
                  </Button>
                )}
              </fieldset>
            ))}
            <Button onClick={add}>One more round</Button>
          </section>
        </div>
        {wrong !== null && (
          <Notice kind="refused">
            <p>{wrong}</p>
          </Notice>
        )}
        <Button
          kind="main"
          disabled={busy || name.trim() === '' || rounds.some((r) => r.name.trim() === '')}
          onClick={keep}
        >
          Write it down
        </Button>
      </OwnersOnly>
    </BookPage>
  );
}
