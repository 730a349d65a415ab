/** A house for the tests: the wire of docs/wire.md in memory, with every fault that a line or a house can have. */
import { v7 } from 'uuid';
import type {
  BeginProgress,
  Change,
  Entry,
  EntryRow,
  FarmRow,
  HouseState,
  Id,
  Me,
  PushBatch,
  Verdict,
} from '../contract.ts';
import type { Barn } from '../kinds/barn.ts';
import { kindOf, learn } from '../kinds/index.ts';
import { OFF_ROUND } from '../kinds/off-round.ts';
import { compare } from '../order.ts';

learn(OFF_ROUND);

/** What becomes of the next request. */
export type Fault =
  | 'cut' // it never arrives
  | 'lost' // it arrives and is answered, and the answer is lost
  | 'portal' // a sign-in page of the network answers, 200
  | 'redirect' // the network redirects
  | { status: number; headers?: Record<string, string>; body?: string }
  | { status: number; problem: string; headers?: Record<string, string> }
  | { change: (said: Record<string, unknown>) => unknown }; // the answer, tampered with

export interface Asked {
  path: string;
  method: string;
  headers: Record<string, string>;
  body: unknown;
}

const farmRow = (me: Me): FarmRow => ({
  id: me.farm.id,
  name: me.farm.name,
  zone: 'Europe/Vienna',
  weight_unit: 'g',
  rounds: [
    { key: 'morning', name: 'Morning', after_lay: false },
    { key: 'evening', name: 'Evening', after_lay: true },
  ],
  example: false,
});

export const somebody = (change: Partial<Me> = {}): Me => ({
  person: v7(),
  name: 'Ada',
  role: 'owner',
  device: v7(),
  device_seq: 0,
  farm: { id: v7(), name: 'Three Alders', example: false },
  ...change,
});

const json = (said: unknown, status = 200, headers: Record<string, string> = {}): Response =>
  new Response(JSON.stringify(said), { status, headers: { 'Content-Type': 'application/json', ...headers } });

const problem = (status: number, code: string, headers: Record<string, string> = {}): Response =>
  json(
    { type: 'about:blank', title: code, status, code, detail: `The house says ${code}.` },
    status,
    headers,
  );

export class FakeHouse {
  house = v7();
  book = v7();
  version = '0.1.0';
  claimed = true;
  csrf = 'token-1';
  signedIn: Me | null;
  /** Who may sign in: name to person, and the one password. */
  people: Map<string, Me>;
  password = 'quail';
  journal = new Map<Id, Entry>();
  verdicts = new Map<Id, Omit<Verdict, 'id'>>();
  changes: Change[] = [];
  asked: Asked[] = [];
  faults: Fault[] = [];
  /** Entries on which the house falls over. */
  poison = new Set<Id>();
  mostBytes = 256 * 1024;
  pageRows = Number.POSITIVE_INFINITY;
  reachable = true;
  /** How far its clock is ahead of the phone's. */
  ahead = 0;
  making: BeginProgress[] = [];
  now: () => number = () => Date.now();

  constructor(me: Me | null = somebody()) {
    this.signedIn = me;
    this.people = new Map(me ? [[me.name, me]] : []);
    if (me) this.put('farm', me.farm.id, { ...farmRow(me) });
  }

  /** Puts a row among the changes, or takes one away. */
  put(table: string, id: Id, row: Record<string, unknown> | null): void {
    this.changes.push({ table, id, row });
  }

  /** Loses everything after the first `kept` entries, as a restore of an older back-up does. */
  restore(kept: number): void {
    this.journal = new Map([...this.journal].slice(0, kept));
    this.book = v7();
    const farm = this.changes.filter((change) => change.table === 'farm');
    this.changes = [...farm, ...[...this.journal.values()].map((entry) => this.entryChange(entry))];
    this.rebuild();
  }

  fetch = async (input: string | URL | Request, init: RequestInit = {}): Promise<Response> => {
    // As slow as any network: never in the same turn.
    await new Promise((resolve) => setTimeout(resolve, 0));
    const path = String(input);
    const body = typeof init.body === 'string' ? JSON.parse(init.body) : undefined;
    const headers = init.headers as Record<string, string>;
    this.asked.push({ path, method: init.method ?? 'GET', headers, body });
    const fault = this.faults.shift();
    if (!this.reachable || fault === 'cut') throw new TypeError('Failed to fetch');
    if (fault === 'portal') return new Response('<h1>Welcome to Barn Wi-Fi</h1>', { status: 200 });
    if (fault === 'redirect') {
      if (init.redirect === 'error') throw new TypeError('Failed to fetch');
      return new Response('<h1>Sign in</h1>', { status: 200 });
    }
    if (typeof fault === 'object' && 'problem' in fault)
      return problem(fault.status, fault.problem, fault.headers);
    if (typeof fault === 'object' && 'status' in fault)
      return new Response(fault.body ?? '', { status: fault.status, headers: fault.headers ?? {} });
    const answer = await this.answer(
      path,
      init.method ?? 'GET',
      headers,
      body,
      String(init.body ?? '').length,
    );
    if (fault === 'lost') throw new TypeError('Failed to fetch');
    if (typeof fault === 'object') return json(fault.change(await answer.json()), answer.status);
    return answer;
  };

  private async answer(
    path: string,
    method: string,
    headers: Record<string, string>,
    body: Record<string, unknown>,
    bytes: number,
  ): Promise<Response> {
    const url = new URL(path, 'http://house');
    if (url.pathname === '/api/house') return json(this.state());
    if (method === 'POST' && headers['X-CSRFToken'] !== this.csrf) return problem(403, 'csrf');
    if (url.pathname === '/api/sign-in') return this.signIn(body);
    if (url.pathname === '/api/begin') return this.begin(body);
    if (url.pathname === '/api/begin/progress') return json(this.making.shift());
    if (!this.signedIn) return problem(401, 'signed_out');
    if (url.pathname === '/api/sign-out') {
      this.signedIn = null;
      return json(this.state());
    }
    if (url.pathname === '/api/push') return this.push(body as unknown as PushBatch, bytes);
    if (url.pathname === '/api/changes') return this.give(url);
    if (url.pathname === '/api/entries') return this.older(url);
    return problem(404, 'not_found');
  }

  state(): HouseState {
    return {
      protocol: 1,
      house: this.house,
      book: this.book,
      house_time: this.time(),
      version: this.version,
      claimed: this.claimed,
      csrf: this.csrf,
      me: this.signedIn,
    };
  }

  private time = (): number => this.now() + this.ahead;

  private signIn(body: Record<string, unknown>): Response {
    const me = this.people.get(String(body.name));
    if (!me || body.password !== this.password) return problem(401, 'wrong_name_or_password');
    this.signedIn = me;
    this.csrf = `token-${Math.random()}`;
    return json(this.state());
  }

  private begin(body: Record<string, unknown>): Response {
    if (body.token !== 'link') return problem(403, 'link_used_or_wrong');
    if (body.choice === 'example' && this.making.length > 0)
      return json({ state: 'working', done: 0, total: 10 }, 202);
    const me = somebody({ farm: { id: v7(), name: String(body.farm_name ?? 'Example'), example: false } });
    this.signedIn = me;
    this.claimed = true;
    this.put('farm', me.farm.id, { ...farmRow(me) });
    return json(this.state(), 201);
  }

  private push(batch: PushBatch, bytes: number): Response {
    if (bytes > this.mostBytes) return problem(413, 'batch_too_large');
    if (batch.entries.length > 500) return problem(413, 'too_many_entries');
    if (batch.entries.some(({ id }) => this.poison.has(id)))
      return new Response('Server Error', { status: 500 });
    const verdicts = batch.entries.map((entry) => this.take(entry));
    this.rebuild();
    const { house, book } = this;
    return json({ protocol: 1, batch: batch.batch, house, book, house_time: this.time(), verdicts });
  }

  private take(entry: Entry): Verdict {
    const { id } = entry;
    const given = this.verdicts.get(id);
    if (given && ['aside', 'later'].includes(given.verdict)) return { id, ...given };
    if (this.journal.has(id)) return { id, verdict: 'already' };
    this.journal.set(id, entry);
    this.changes.push(this.entryChange(entry));
    return { id, ...(given ?? { verdict: 'written' }) };
  }

  private entryChange(entry: Entry): Change {
    const { device_seq: _, mends = null, ...rest } = entry;
    const row: EntryRow = {
      ...rest,
      body: entry.body as unknown as EntryRow['body'],
      mends,
      state: this.verdicts.get(entry.id)?.verdict === 'waits' ? 'waits' : 'stands',
      code: null,
      detail: null,
      struck_by: null,
    };
    return { table: 'entry', id: entry.id, row: { ...row } };
  }

  /** What stands, from the journal in the order of days: the rows that came out otherwise than before are changes. */
  private rebuild(): void {
    const barn: Barn = {
      farm: null,
      lines: new Map(),
      cages: new Map(),
      broods: new Map(),
      birds: new Map(),
      settings: new Map(),
      trays: new Map(),
      withdrawals: new Map(),
      store: new Map(),
      orders: new Map(),
      shipments: new Map(),
    };
    const entries = [...this.journal.values()].sort(compare);
    const struck = new Map(
      entries.flatMap(({ id, kind, body }) =>
        kind === 'strike' ? [[(body as { entry: Id }).entry, id]] : [],
      ),
    );
    for (const entry of entries) {
      if (struck.has(entry.id)) this.lay('entry', entry.id, { struck_by: struck.get(entry.id) });
      else kindOf(entry.kind)?.stands?.(barn, entry);
    }
    const tables = { line: barn.lines, cage: barn.cages, brood: barn.broods, bird: barn.birds };
    for (const [table, rows] of Object.entries(tables))
      for (const row of rows.values()) this.lay(table, row.id, { ...row });
  }

  private lay(table: string, id: Id, change: Record<string, unknown>): void {
    const last = this.changes.findLast((each) => each.table === table && each.id === id)?.row ?? {};
    const row = { ...last, ...change };
    if (JSON.stringify(row) !== JSON.stringify(last)) this.put(table, id, row);
  }

  private give(url: URL): Response {
    const after = Number(url.searchParams.get('after'));
    const limit = Math.min(Number(url.searchParams.get('limit')), this.pageRows);
    const rows = this.changes.slice(after, after + limit);
    const next = after + rows.length;
    const { house, book } = this;
    const more = next < this.changes.length;
    return json({ protocol: 1, house, book, house_time: this.time(), rows, next, more });
  }

  private older(url: URL): Response {
    const before = url.searchParams.get('before') ?? '';
    const rows = [...this.journal.values()]
      .filter((entry) => entry.day < before)
      .map((entry) => this.entryChange(entry).row);
    return json({ rows, next: null });
  }
}
