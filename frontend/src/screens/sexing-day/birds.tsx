import { useState } from 'preact/hooks';
import { type BirdRow, today } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { showDay } from '../../parts/days.ts';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { sharedWords, type Whose, whoseNumber } from '../frame/called.ts';
import { who } from '../frame/who.ts';
import { unlooked, unsure } from './checklist.ts';

interface Props {
  birds: BirdRow[];
  onLook: ((bird: BirdRow) => void) | undefined;
}

/** The birds of the brood as they stand: those to look at again first, then those sexed. */
export function Birds({ birds, onLook }: Props) {
  const again = unsure(birds);
  const known = unlooked(birds);
  const whose = whoseNumber(birds, who);
  const shared = sharedWords(birds, who);
  const sexed = birds.filter((b) => b.sex === 'cock' || b.sex === 'hen').reverse();
  return (
    <section class="stack">
      {shared !== null && <p>{shared}</p>}
      <Group title="Not sure, to look at again" birds={again} whose={whose} onLook={onLook} />
      <Group title="In the book, not looked at" birds={known} whose={whose} onLook={onLook} />
      <Group title="Looked at" birds={sexed} whose={whose} onLook={onLook} />
      {birds.length === 0 && (
        <p class="quiet">
          No bird of this brood is in the book by itself yet. Each is numbered when it is first looked at or
          weighed.
        </p>
      )}
    </section>
  );
}

const FIRST = 10;

const lookWords = (bird: BirdRow) => (bird.looked_on === null ? 'Look' : 'Look again');

function Group({ title, birds, whose, onLook }: Props & { title: string; whose: Whose }) {
  const [all, setAll] = useState(false);
  if (birds.length === 0) return null;
  return (
    <div class="stack">
      <h2>
        {title} <small class="quiet">{birds.length}</small>
      </h2>
      <Ledger narrow label={title}>
        {(all ? birds : birds.slice(0, FIRST)).map((bird) => (
          <Row
            key={bird.id}
            margin={<b>{bird.number}</b>}
            end={
              onLook && (
                <Button
                  kind="quiet"
                  onClick={() => onLook(bird)}
                  aria-label={[lookWords(bird), 'at bird', bird.number, whose(bird)].join(' ').trim()}
                >
                  {lookWords(bird)}
                </Button>
              )
            }
          >
            <span>
              {bird.sex === 'unsure' ? 'not sure' : bird.sex === 'unsexed' ? 'not looked at' : bird.sex}
            </span>
            <small>
              {[
                whose(bird) === '' ? '' : `number ${whose(bird)}`,
                bird.band === null ? '' : `band ${bird.band}`,
                bird.looked_on === null ? '' : showDay(bird.looked_on, today.value),
              ]
                .filter(Boolean)
                .join(', ')}
            </small>
          </Row>
        ))}
      </Ledger>
      {!all && birds.length > FIRST && <Button onClick={() => setAll(true)}>All {birds.length}</Button>}
    </div>
  );
}
