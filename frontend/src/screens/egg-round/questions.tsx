import type { Round } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Button } from '../../parts/button.tsx';
import { showTime } from '../../parts/days.ts';
import { Sheet } from '../../parts/sheet.tsx';
import { AskOnce } from '../frame/ask-once.tsx';
import { mayStrike } from '../frame/may-strike.ts';
import { who } from '../frame/who.ts';
import type { Ask } from './use-counting.ts';

type DoubtAsk = Extract<Ask, { about: 'doubt' }>;
type TwiceAsk = Extract<Ask, { about: 'twice' }>;

/** A count the hens could hardly have laid is asked about once, and then believed. */
export function Doubted({
  cage,
  body,
  sentence,
  onYes,
  onNo,
}: DoubtAsk & { onYes: () => void; onNo: () => void }) {
  return (
    <AskOnce
      title={`${cage.code}: ${amount(body.eggs, 'egg')}?`}
      sentence={sentence}
      yes={`Yes, ${body.eggs}`}
      no="No, count again"
      onYes={onYes}
      onNo={onNo}
    />
  );
}

/** Two counts of a cage in one round clash: which of them is meant is asked at once, while the eggs are still in the hand. */
export function Twice({
  cage,
  body,
  there,
  rounds,
  onReplace,
  onOther,
  onNo,
}: TwiceAsk & {
  rounds: Round[];
  onReplace: () => void;
  onOther: (round: string) => void;
  onNo: () => void;
}) {
  const name = (key: string) => rounds.find((r) => r.key === key)?.name.toLowerCase() ?? key;
  const others = rounds.filter((r) => r.key !== body.round);
  const may = there.every(mayStrike);
  return (
    <Sheet title={`${cage.code} was counted in this round`} question onClose={onNo}>
      {there.map((count) => (
        <p key={count.id}>
          <b>{amount(count.body.eggs, 'egg')}</b> by {who(count.author)}, {showTime(count.stamp)}, in the{' '}
          {name(body.round)} round.
        </p>
      ))}
      <p>What is this {body.eggs}?</p>
      {may ? (
        <Button kind="main" onClick={onReplace}>
          In its place: strike {there.map((c) => c.body.eggs).join(' and ')}, write {body.eggs}
        </Button>
      ) : (
        <p class="quiet">Only the owner can strike a count that somebody else wrote.</p>
      )}
      {others.map((round) => (
        <Button key={round.key} onClick={() => onOther(round.key)}>
          Another round: {round.name.toLowerCase()}
        </Button>
      ))}
      <Button kind="quiet" onClick={onNo}>
        Neither: leave it as it is
      </Button>
    </Sheet>
  );
}
