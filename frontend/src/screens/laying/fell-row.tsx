import type { CageLaying } from '../../book/house-pages.ts';
import { today } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { showDay } from '../../parts/days.ts';
import { figureValue, nWords } from '../../parts/figure-words.ts';
import { Row } from '../../parts/ledger.tsx';

/** "B4: 75 % fewer eggs than expected, since 16 Nov". */
export function FellRow({ cage, line }: { cage: CageLaying; line: string }) {
  const fell = cage.fell;
  if (!fell) return null;
  const words = figureValue({ ...fell, computed_at: 0 });
  return (
    <Row href={`/cage/${cage.cage}`} margin={<b class="late">{cage.code}</b>}>
      <strong>
        {words?.value} fewer eggs than expected since {showDay(fell.first_day ?? today.value, today.value)}
      </strong>
      <span>
        {words?.interval} fewer, {nWords({ ...fell, computed_at: 0 })}; this week{' '}
        {amount(cage.week.eggs, 'egg')}
        {cage.week.usual !== null && `, usually ${Math.round(cage.week.usual)}`}
      </span>
      <small>{line}</small>
    </Row>
  );
}
