/** Which treatments still wait: of a subject itself and of what it belongs to. The days are those that owner and veterinarian set. */
import {
  type Day,
  rowsOfTable,
  type Subject,
  type WaitRow,
  type WithdrawalRow,
  withdrawals,
} from '../../book/index.ts';

export type WaitsFor = 'eggs' | 'meat';

export interface Wait {
  what: string;
  until: Day;
}

/**
 * Those that are not over on `day`, the last to end first. The last day is still within. A treatment reaches what it was written of; what
 * else it reaches, by birds moved out of there, the house has worked out (`reached`).
 */
export function waitsIn(
  rows: Iterable<WithdrawalRow>,
  {
    of,
    subjects,
    day,
    reached = [],
  }: { of: WaitsFor; subjects: readonly Subject[]; day: Day; reached?: readonly WaitRow[] },
): Wait[] {
  const by_move = new Set(reached.flatMap((row) => (subjects.includes(row.subject) ? row.treatments : [])));
  return [...rows]
    .filter((row) => (subjects.includes(row.subject) || by_move.has(row.id)) && row.first_day <= day)
    .flatMap((row) => {
      const until = of === 'eggs' ? row.eggs_until : row.meat_until;
      return until !== null && until >= day ? [{ what: row.what, until }] : [];
    })
    .sort((a, b) => b.until.localeCompare(a.until));
}

export const waits = (of: WaitsFor, subjects: readonly Subject[], day: Day): Wait[] =>
  waitsIn(withdrawals.value.values(), { of, subjects, day, reached: rowsOfTable('wait').value });

/** A cage or a brood, and the line it is of: a treatment of any of them waits. */
export function subjectsOf(of: {
  cage?: { id: string; line: string | null } | undefined;
  brood?: { id: string; line: string } | undefined;
}): Subject[] {
  const found: Subject[] = [];
  if (of.cage) found.push(`cage/${of.cage.id}`);
  if (of.brood) found.push(`brood/${of.brood.id}`);
  const line = of.cage?.line ?? of.brood?.line;
  if (line) found.push(`line/${line}`);
  return found;
}
