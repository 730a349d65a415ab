/** What a customer says of a shipment: by the link, or typed in by the owner from the reply slip. */
import type { Bodies } from '../contract.ts';
import { type Barn, NO_REPORT, putRow, type Written } from './barn.ts';
import { check as checkFields, count, id, orNull, type Refusal, text, wrong } from './fields.ts';
import { all, flag, listOf } from './more-fields.ts';
import { type Names, plural } from './names.ts';

type Body = Bodies['hatch_reported'];
type Line = Body['lines'][number];

const MOST = 9999;
const eggs = orNull(count({ most: MOST }));
const CHICKS = all({ plumage: orNull(text({ most: 20 })), chicks: count({ least: 1, most: MOST }) });
const LINE = all({
  line: id,
  broken: eggs,
  set: eggs,
  clear: eggs,
  hatched: eggs,
  chicks: listOf(CHICKS, { most: 13 }),
});
const FIELDS = { shipment: id, lines: listOf(LINE, { least: 1 }), slip: flag };

function wrongIn({ set, clear, hatched, chicks }: Line): string | null {
  if (set === null && (clear !== null || hatched !== null))
    return 'must say how many eggs were set, where they say what came of them';
  if ((clear ?? 0) + (hatched ?? 0) > (set ?? 0)) return 'must not have more clear and hatched than eggs set';
  if (chicks.reduce((n, c) => n + c.chicks, 0) > (hatched ?? 0))
    return 'must not have more chicks by plumage than hatched';
  return new Set(chicks.map((c) => c.plumage)).size < chicks.length
    ? 'must name each plumage class once'
    : null;
}

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { lines } = body as Body;
  if (new Set(lines.map((l) => l.line)).size < lines.length)
    return wrong('lines', 'must name each line once');
  const said = lines.map(wrongIn).find((each) => each !== null);
  return said ? wrong('lines', said) : null;
}

const lineInWords = (l: Line, names: Names): string => {
  const said = [
    l.broken !== null && `${l.broken} arrived broken`,
    l.set !== null && `${l.set} set`,
    l.clear !== null && `${l.clear} clear`,
    l.hatched !== null && `${plural(l.hatched, 'chick')} hatched`,
  ].filter((part) => part !== false);
  return `${names.line(l.line)}: ${said.length > 0 ? said.join(', ') : 'nothing said yet'}`;
};

export function words(body: Body, names: Names): string {
  const whose = body.slip ? 'from the reply slip' : 'by the customer';
  const lines = body.lines.map((l) => lineInWords(l, names)).join('; ');
  return `Hatch report on ${names.shipment(body.shipment)}, ${whose}. ${lines}`;
}

export function stands(barn: Barn, { body, day }: Written<Body>): void {
  const row = barn.shipments.get(body.shipment);
  if (!row) return;
  const now = row.report ?? NO_REPORT;
  const report = {
    ...now,
    lines: body.lines,
    by_customer: !body.slip,
    first_on: now.first_on ?? day,
    last_on: day,
    times: now.times + 1,
  };
  putRow(barn.shipments, body.shipment, { report });
}
