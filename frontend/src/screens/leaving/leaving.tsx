import { useState } from 'preact/hooks';
import { type BirdRow, type BroodRow, type CageRow, farm, type TakenFrom, write } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { CountField, TextField } from '../../parts/field.tsx';
import { Notice } from '../../parts/notice.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { toGrams, typedNumber } from '../../parts/weight.ts';
import { useWriting } from '../frame/use-writing.ts';
import { WaitNotice } from '../withdrawal/wait-notice.tsx';
import { subjectsOf } from '../withdrawal/waits.ts';
import { Caution } from './caution.tsx';
import { dressingShare, PLUCK, shareDoubt } from './share.ts';

export type How = 'processed' | 'sold' | 'dead';

interface Props {
  how: How;
  cage?: CageRow | undefined;
  brood?: BroodRow | undefined;
  /** One bird known by its id: then nothing is counted. `brood` is its own. */
  bird?: BirdRow | undefined;
  onClose: () => void;
}

const TITLES: Record<How, string> = { processed: 'Processed', sold: 'Sold alive', dead: 'Found dead' };

/** Birds that leave: processed, sold alive, or dead. Nothing leaves but by an entry that a person writes. */
export function Leaving({ how, cage, brood, bird, onClose }: Props) {
  const unit = farm.value?.weight_unit ?? 'g';
  const one = (sex: BirdRow['sex']) => (bird?.sex === sex ? 1 : 0);
  const [hens, setHens] = useState(one('hen'));
  const [cocks, setCocks] = useState(one('cock'));
  const [unsexed, setUnsexed] = useState(bird && hens + cocks === 0 ? 1 : 0);
  const [live, setLive] = useState('');
  const [dressed, setDressed] = useState('');
  const [pluck, setPluck] = useState<string | null>(null);
  const [note, setNote] = useState('');
  const [doubted, setDoubted] = useState<string | null>(null);
  const { wrong, busy, run } = useWriting();
  const birds = hens + cocks + unsexed;
  const weight = (text: string) => {
    const value = typedNumber(text);
    return value === null ? null : { grams: toGrams(value, unit), typed: { value: text.trim(), unit } };
  };
  const [live_is, dressed_is] = [weight(live), weight(dressed)];
  const share = dressingShare(live_is?.grams ?? null, dressed_is?.grams ?? null);
  const holds = cage ?? (brood && { hens: brood.hens, cocks: brood.cocks });
  const unreadable = (text: string) =>
    text.trim() !== '' && typedNumber(text) === null ? `Type a weight in ${unit}, such as 310.5.` : null;
  const bad = unreadable(live) ?? unreadable(dressed);

  const taken: TakenFrom = {
    cage: cage?.id ?? null,
    brood: cage ? null : (brood?.id ?? null),
    hens,
    cocks,
    unsexed,
    birds: bird ? [{ bird: bird.id, brood: bird.brood }] : [],
  };
  const keep = () => {
    const said = doubted === null ? doubtOf() : null;
    if (said !== null) return setDoubted(said);
    void run(() =>
      how === 'processed'
        ? write('processed', {
            ...taken,
            live_g: live_is?.grams ?? null,
            live_typed: live_is?.typed ?? null,
            dressed_g: dressed_is?.grams ?? null,
            dressed_typed: dressed_is?.typed ?? null,
            pluck: pluck === null ? null : Number(pluck),
            note,
          })
        : write(how === 'sold' ? 'birds_sold' : 'found_dead', { ...taken, note }),
    ).then((done) => done && onClose());
  };
  function doubtOf(): string | null {
    if (cage && (hens > cage.hens || cocks > cage.cocks || unsexed > cage.unsexed) && !bird)
      return `Cage ${cage.code} does not hold so many. Written as it is, the owner is asked.`;
    if (!cage && brood && birds > brood.alive)
      return `Brood ${brood.code} has ${amount(brood.alive, 'bird')} alive. Written as it is, the owner is asked.`;
    return shareDoubt(share);
  }
  const where = bird ? `Bird ${bird.number}` : (cage?.code ?? brood?.code);
  return (
    <Sheet title={`${where}: ${TITLES[how].toLowerCase()}`} onClose={onClose}>
      {how !== 'dead' && (
        <>
          <Caution of={how === 'processed' ? 'processing' : 'selling'} />
          <WaitNotice of="meat" subjects={subjectsOf({ cage, brood })} />
        </>
      )}
      {!bird && (
        <>
          <CountField label="Hens" value={hens} onCount={setHens} />
          <CountField label="Cocks" value={cocks} onCount={setCocks} />
          <CountField label="Not sexed" value={unsexed} onCount={setUnsexed} />
          {holds && !cage && brood && <p class="quiet">{amount(brood.alive, 'bird')} alive in the brood.</p>}
        </>
      )}
      {how === 'processed' && (
        <>
          <div class="side-by-side">
            <TextField
              label={`${birds > 1 ? 'All live' : 'Live'}, ${unit}`}
              value={live}
              onText={setLive}
              inputMode="decimal"
              wrong={unreadable(live)}
            />
            <TextField
              label={`${birds > 1 ? 'All dressed' : 'Dressed'}, ${unit}`}
              value={dressed}
              onText={setDressed}
              inputMode="decimal"
              wrong={unreadable(dressed)}
            />
          </div>
          {share !== null && (
            <p>
              Dressing share <b>{share} %</b>
              {birds > 1 && `, over ${amount(birds, 'bird')} together`}.
            </p>
          )}
          <Choice label="How clean it plucked" stacked value={pluck} options={PLUCK} onChoose={setPluck} />
        </>
      )}
      <TextField
        label="Note"
        value={note}
        onText={setNote}
        maxLength={500}
        hint={
          how === 'sold' ? 'No buyer’s name here: people outside the barn are not in the journal.' : undefined
        }
      />
      {doubted !== null && (
        <Notice kind="refused">
          <p>{doubted}</p>
        </Notice>
      )}
      {wrong !== null && <p class="late">{wrong}</p>}
      <Button kind="main" disabled={birds === 0 || busy || bad !== null} onClick={keep}>
        {birds === 0 ? 'At least one bird' : doubted === null ? 'Write it down' : 'Yes, write it down'}
      </Button>
    </Sheet>
  );
}
