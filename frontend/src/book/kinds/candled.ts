/** A tray candled: what was found among the eggs still in it. A later candling adds to the earlier. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, count, id, type Refusal, text, wrong } from './fields.ts';
import { after } from './names.ts';

type Body = Bodies['candled'];

const FIELDS = {
  setting: id,
  tray: id,
  read: count(),
  clear: count(),
  dead_early: count(),
  unread: count(),
  broken: count(),
  removed: count(),
  note: text({ blank: true }),
};

export function check(body: unknown): Refusal | null {
  const refused = checkFields(body, FIELDS);
  if (refused) return refused;
  const { read, clear, dead_early, unread, broken, removed } = body as Body;
  if (clear + dead_early > read)
    return wrong(
      'read',
      `must be every egg that could be read: ${clear + dead_early} were clear or dead, but ${read} read`,
    );
  if (read + unread + broken + removed === 0)
    return wrong('read', 'and all the others are 0: say how many eggs were candled');
  return null;
}

export function words({ read, clear, dead_early, unread, broken, removed, note }: Body): string {
  const found = [
    `${read} read`,
    `${clear} clear`,
    `${dead_early} dead early`,
    unread && `${unread} not readable`,
    broken && `${broken} broken`,
    removed && `${removed} taken out`,
  ].filter((part) => part !== 0);
  return `Tray candled: ${found.join(', ')}${after(note)}`;
}

export function stands(barn: Barn, { day, body }: Written<Body>): void {
  const tray = barn.trays.get(body.tray);
  const setting = barn.settings.get(body.setting);
  if (!tray) return;
  if (setting && tray.candled_on === null)
    putRow(barn.settings, setting.id, { candled: setting.candled + 1 });
  const out = body.clear + body.dead_early + body.broken + body.removed;
  putRow(barn.trays, tray.id, {
    // An egg too dark on day 7 and read on day 14 is read once.
    read: body.read + tray.clear + tray.dead_early,
    clear: tray.clear + body.clear,
    dead_early: tray.dead_early + body.dead_early,
    unread: body.unread,
    broken: tray.broken + body.broken,
    removed: tray.removed + body.removed,
    left: tray.left - out,
    candled_on: day,
  });
}

/** What was read at a candling before this one is for the house to say: it has every entry, this phone may not. */
export function unstands(barn: Barn, { body, before, last }: Struck<Body>): void {
  const tray = barn.trays.get(body.tray);
  if (!tray) return;
  const out = body.clear + body.dead_early + body.broken + body.removed;
  putRow(barn.trays, tray.id, {
    clear: tray.clear - body.clear,
    dead_early: tray.dead_early - body.dead_early,
    broken: tray.broken - body.broken,
    removed: tray.removed - body.removed,
    left: tray.left + out,
    ...(last && { candled_on: before?.body.tray === body.tray ? before.day : null }),
  });
}
