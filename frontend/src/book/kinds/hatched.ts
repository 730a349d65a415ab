/** What came out of a tray since the last look; written again it adds. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, count, id, type Refusal, text } from './fields.ts';
import { after } from './names.ts';

type Body = Bodies['hatched'];

const FIELDS = {
  setting: id,
  tray: id,
  hatched: count(),
  pipped_dead: count(),
  dead_in_shell: count(),
  note: text({ blank: true }),
};

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ hatched, pipped_dead, dead_in_shell, note }: Body): string =>
  `Tray hatched: ${hatched} hatched, ${pipped_dead} pipped and dead, ${dead_in_shell} dead in shell${after(note)}`;

export function stands(barn: Barn, { day, body }: Written<Body>, times: 1 | -1 = 1): void {
  const tray = barn.trays.get(body.tray);
  const setting = barn.settings.get(body.setting);
  if (!tray) return;
  if (setting)
    putRow(barn.settings, setting.id, {
      hatched: setting.hatched + times * body.hatched,
      hatched_trays: setting.hatched_trays + (times === 1 && tray.hatched_on === null ? 1 : 0),
    });
  putRow(barn.trays, tray.id, {
    hatched: tray.hatched + times * body.hatched,
    pipped_dead: tray.pipped_dead + times * body.pipped_dead,
    dead_in_shell: tray.dead_in_shell + times * body.dead_in_shell,
    ...(times === 1 && { hatched_on: day }),
  });
}

export const unstands = (barn: Barn, struck: Struck<Body>): void => stands(barn, struck, -1);
