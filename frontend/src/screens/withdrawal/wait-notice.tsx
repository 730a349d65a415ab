import { type Subject, today } from '../../book/index.ts';
import { showDay } from '../../parts/days.ts';
import { Notice } from '../../parts/notice.tsx';
import { type WaitsFor, waits } from './waits.ts';

/** Warns wherever eggs or birds are sold, set aside to eat or processed; it hinders nobody. */
export function WaitNotice({ of, subjects }: { of: WaitsFor; subjects: readonly Subject[] }) {
  const found = waits(of, subjects, today.value);
  if (found.length === 0) return null;
  return (
    <Notice kind="refused">
      {found.map(({ what, until }) => (
        <p key={`${what}${until}`}>
          <b>
            {of === 'eggs' ? 'Eggs wait' : 'Meat waits'} until {showDay(until, today.value)}
          </b>
          : {what}. That day is still within. Ask the veterinarian who set it.
        </p>
      ))}
    </Notice>
  );
}
