import type { Role } from '../../book/index.ts';

/** What each may do, in a word and in a line. */
export const ROLES: Record<Role, { name: string; detail: string }> = {
  owner: { name: 'Owner', detail: 'writes, decides, sets up, sees customers' },
  helper: { name: 'Helper', detail: 'writes in the barn; strikes what they wrote' },
  onlooker: { name: 'Onlooker', detail: 'reads, and writes nothing' },
};
