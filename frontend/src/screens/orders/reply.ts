/** What is typed from a reply slip, and what it says. */
import type { Id, LineReported, LineRow, ShipmentRow } from '../../book/index.ts';

export interface Typed {
  line: Id;
  name: string;
  /** Eggs of it that were sent. */
  sent: number;
  /** Something was said of it before, so that what is empty now takes it back. */
  told: boolean;
  broken: string;
  set: string;
  clear: string;
  hatched: string;
  plumage: { key: string; words: string; chicks: string }[];
}

const NUMBERS = ['broken', 'set', 'clear', 'hatched'] as const;
const shown = (n: number | null | undefined): string => (n == null ? '' : String(n));

/** A form for each line in the box, filled with what was told last. */
export function typedOf(
  { eggs, report }: Pick<ShipmentRow, 'eggs' | 'report'>,
  lines: readonly LineRow[],
): Typed[] {
  return [...new Set(eggs.map((e) => e.line))].map((id) => {
    const row = lines.find((l) => l.id === id);
    const said = report?.lines.find((l) => l.line === id);
    return {
      line: id,
      name: row?.name ?? 'A line not here yet',
      sent: eggs.reduce((n, e) => (e.line === id ? n + e.eggs : n), 0),
      told: said !== undefined,
      broken: shown(said?.broken),
      set: shown(said?.set),
      clear: shown(said?.clear),
      hatched: shown(said?.hatched),
      plumage: (row?.plumage ?? []).map((c) => ({
        key: c.key,
        words: c.words,
        chicks: shown(said?.chicks.find((each) => each.plumage === c.key)?.chicks),
      })),
    };
  });
}

/** The numbers of the lines of which anything was said; or what is wrong, as a sentence. */
export function understood(typed: readonly Typed[]): LineReported[] | string {
  const found: LineReported[] = [];
  for (const t of typed) {
    const texts = [...NUMBERS.map((field) => t[field]), ...t.plumage.map((c) => c.chicks)].map((s) =>
      s.trim(),
    );
    if (texts.some((s) => !/^\d{0,4}$/.test(s))) return `${t.name}: only whole numbers, or nothing.`;
    if (!t.told && texts.every((s) => s === '')) continue;
    const number = (s: string) => (s.trim() === '' ? null : Number(s));
    const [broken, set] = [number(t.broken), number(t.set)];
    if ((broken ?? 0) + (set ?? 0) > t.sent)
      return `${t.name}: ${t.sent} eggs were sent, so broken and set together cannot be ${(broken ?? 0) + (set ?? 0)}.`;
    found.push({
      line: t.line,
      broken,
      set,
      clear: number(t.clear),
      hatched: number(t.hatched),
      chicks: t.plumage.flatMap((c) => {
        const chicks = number(c.chicks) ?? 0;
        return chicks > 0 ? [{ plumage: c.key, chicks }] : [];
      }),
    });
  }
  return found.length > 0 ? found : 'Nothing is filled in yet.';
}
