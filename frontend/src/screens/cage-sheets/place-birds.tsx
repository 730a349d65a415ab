import { useState } from 'preact/hooks';
import { type BroodRow, broods, type CageRow, cages, doubt, lines, write } from '../../book/index.ts';
import { amounts } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { CountField, PickField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { useWriting } from '../frame/use-writing.ts';

interface Props {
  /** The cage they go into, or the brood they come from: one of the two is known, the other is asked. */
  into?: CageRow;
  from?: BroodRow;
  onClose: () => void;
}

const ELSEWHERE = 'elsewhere';

/** Birds put into a cage: from a brood, from another cage, or from elsewhere. */
export function PlaceBirds({ into, from, onClose }: Props) {
  const open = cages.value.filter((c) => !c.closed);
  const [cage, setCage] = useState(into?.id ?? open[0]?.id ?? '');
  const [source, setSource] = useState(from ? `brood/${from.id}` : ELSEWHERE);
  const [hens, setHens] = useState(0);
  const [cocks, setCocks] = useState(0);
  const [unsexed, setUnsexed] = useState(0);
  const [doubted, setDoubted] = useState<string | null>(null);
  const { wrong, busy, run } = useWriting();
  const none = hens + cocks + unsexed === 0;
  const [table, id = null] = source.split('/');
  const body = {
    cage,
    brood: table === 'brood' ? id : null,
    from_cage: table === 'cage' ? id : null,
    hens,
    cocks,
    unsexed,
    birds: [],
  };
  const keep = () => {
    const said = doubted === null ? doubt('birds_placed', body) : null;
    if (said !== null) setDoubted(said);
    else void run(() => write('birds_placed', body)).then((done) => done && onClose());
  };
  const lineName = (line: string | null) => lines.value.find((l) => l.id === line)?.name ?? '';
  return (
    <Sheet title={into ? `Birds into ${into.code}` : `Birds of ${from?.code}`} onClose={onClose}>
      {!from && (
        <PickField
          label="From"
          value={source}
          onPick={setSource}
          options={[
            { value: ELSEWHERE, name: 'Elsewhere' },
            ...broods.value
              .filter((b) => b.alive > b.placed)
              .map((b) => ({
                value: `brood/${b.id}`,
                name: `Brood ${b.code}, ${lineName(b.line)}: ${b.alive - b.placed} not placed`,
              })),
            ...open
              .filter((c) => c.id !== cage && c.hens + c.cocks + c.unsexed > 0)
              .map((c) => ({ value: `cage/${c.id}`, name: `Cage ${c.code}: ${birdsIn(c)}` })),
          ]}
        />
      )}
      {!into && (
        <PickField
          label="Into"
          value={cage}
          onPick={setCage}
          options={open.map((c) => ({ value: c.id, name: `${c.code}: ${birdsIn(c) || 'empty'}` }))}
        />
      )}
      <CountField label="Hens" value={hens} onCount={setHens} />
      <CountField label="Cocks" value={cocks} onCount={setCocks} />
      <CountField label="Unsexed" value={unsexed} onCount={setUnsexed} />
      {doubted !== null && (
        <Notice kind="refused">
          <p>{doubted}</p>
        </Notice>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={none || busy || cage === ''} onClick={keep}>
        {none ? 'At least one bird' : doubted === null ? 'Place them' : 'Yes, place them'}
      </Button>
    </Sheet>
  );
}

const birdsIn = (cage: CageRow) =>
  amounts([
    [cage.hens, 'hen'],
    [cage.cocks, 'cock'],
    [cage.unsexed, 'unsexed', 'unsexed'],
  ]);
