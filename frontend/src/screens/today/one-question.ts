/** Two entries that contradict each other are one question, with both shown. The house asks about each of them in the same words. Pure. */
import type { EntryView, Question } from '../../book/index.ts';

const CONTRADICTIONS = new Set([
  'more_eggs_than_set',
  'more_eggs_than_stored',
  'more_chicks_than_eggs',
  'more_birds_than_chicks',
  'below_zero',
  'band_used_twice',
  'bird_in_two_cages',
  'gone_twice',
  'looked_at_twice',
]);

export const isContradiction = ({ code }: Question): boolean => CONTRADICTIONS.has(code);

/** The cages, broods, birds and settings that an entry names: one of them is what the two contradict each other about. */
const named = ({ body }: EntryView): string[] =>
  JSON.stringify(body).match(/[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}/g) ?? [];

function sameAs(one: Question, other: Question): boolean {
  if (one.code !== other.code || one.detail !== other.detail) return false;
  if (one.code === 'band_used_twice') return true; // the band is in the words, and the broods may be two
  const names = new Set(one.entries.flatMap(named));
  return other.entries.flatMap(named).some((id) => names.has(id));
}

/** The same question keeps its key when the entry that it began with is struck. */
function keyOf({ code, detail }: Question, found: readonly Question[]): string {
  const alike = found.filter((other) => other.code === code && other.detail === detail).length;
  return `${code} ${detail} ${alike}`;
}

/** As they came, each contradiction once, with all its entries. */
export function oneQuestionEach(asked: readonly Question[]): Question[] {
  const found: Question[] = [];
  for (const question of asked) {
    const at = isContradiction(question) ? found.findIndex((other) => sameAs(other, question)) : -1;
    const known = found[at];
    if (known) found[at] = { ...known, entries: [...known.entries, ...question.entries] };
    else found.push(isContradiction(question) ? { ...question, key: keyOf(question, found) } : question);
  }
  return found;
}
