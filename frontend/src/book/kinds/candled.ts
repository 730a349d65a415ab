/** A tray candled: what was found among the eggs still in it. A later candling adds to the earlier. */
import type { Bodies } from '../contract.ts';
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
