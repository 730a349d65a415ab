import { useMemo, useState } from 'preact/hooks';
import { type BroodRow, birdsOf, cages, farm } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Ledger, Row } from '../../parts/ledger.tsx';
import { showWeight } from '../../parts/weight.ts';
import { Scores } from '../brooding/early-guess.tsx';
import { sharedWords, whoseNumber } from '../frame/called.ts';
import { who } from '../frame/who.ts';

const FIRST = 8;

/** The birds of a brood that are known one by one; those gone at the end. */
export function BirdsList({ brood }: { brood: BroodRow }) {
  const birds = useMemo(() => birdsOf(brood.id), [brood.id]).value;
  const [all, setAll] = useState(false);
  if (!birds || birds.length === 0) return null;
  const unit = farm.value?.weight_unit ?? 'g';
  const whose = whoseNumber(birds, who);
  const shared = sharedWords(birds, who);
  const inOrder = [...birds.filter((b) => b.gone === null), ...birds.filter((b) => b.gone !== null)];
  return (
    <section class="stack">
      <h2>
        Birds <small class="quiet">{birds.length} known one by one</small>
      </h2>
      <Scores birds={birds} />
      {shared !== null && <p>{shared}</p>}
      <Ledger narrow label="Birds of the brood">
        {(all ? inOrder : inOrder.slice(0, FIRST)).map((bird) => (
          <Row key={bird.id} href={`/bird/${brood.id}/${bird.id}`} margin={<b>{bird.number}</b>}>
            <strong>
              {[bird.sex === 'unsure' ? 'not sure' : bird.sex, bird.band === null ? '' : `band ${bird.band}`]
                .filter(Boolean)
                .join(', ')}
            </strong>
            <small>
              {[
                whose(bird) === '' ? '' : `number ${whose(bird)}`,
                bird.gone ?? '',
                bird.last_weight_g === null ? '' : showWeight(bird.last_weight_g, unit, 'bird'),
                bird.gone === null ? (bird.decision ?? '') : '',
                bird.cage === null ? '' : `cage ${cages.value.find((c) => c.id === bird.cage)?.code ?? '?'}`,
              ]
                .filter(Boolean)
                .join(', ')}
            </small>
          </Row>
        ))}
      </Ledger>
      {!all && birds.length > FIRST && <Button onClick={() => setAll(true)}>All {birds.length}</Button>}
    </section>
  );
}
