import { useState } from 'preact/hooks';
import { type Day, type Round, today } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { Choice } from '../../parts/choice.tsx';
import { dayAfter, showDay } from '../../parts/days.ts';
import { Sheet } from '../../parts/sheet.tsx';

interface Props {
  rounds: Round[];
  round: string;
  day: Day;
  onPick: (round: string, day: Day) => void;
  onClose: () => void;
}

/** Which round, of which day: chosen by the hour, changed here. Yesterday is for a round that is written down late. */
export function RoundPick({ rounds, round, day, onPick, onClose }: Props) {
  const [key, setKey] = useState(round);
  const [on, setOn] = useState(day);
  const yesterday = dayAfter(today.value, -1);
  return (
    <Sheet title="Which round?" onClose={onClose}>
      <Choice
        label="Round"
        value={key}
        options={rounds.map((r) => ({
          value: r.key,
          name: r.name,
          detail: r.after_lay ? 'eggs of this day' : 'eggs up to the day before',
        }))}
        onChoose={setKey}
        stacked
      />
      <Choice
        label="Day"
        value={on}
        options={[
          { value: today.value, name: 'Today', detail: showDay(today.value, today.value) },
          { value: yesterday, name: 'Yesterday', detail: showDay(yesterday, today.value) },
        ]}
        onChoose={setOn}
      />
      <Button kind="main" onClick={() => onPick(key, on)}>
        Count this round
      </Button>
    </Sheet>
  );
}
