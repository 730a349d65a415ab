/** A setting locked down: no more turning, more moisture, until it hatches. */
import type { Bodies } from '../contract.ts';
import { type Barn, putRow, type Struck, type Written } from './barn.ts';
import { check as checkFields, id, type Refusal, text } from './fields.ts';
import { after } from './names.ts';

const FIELDS = { setting: id, note: text({ blank: true }) };

export const check = (body: unknown): Refusal | null => checkFields(body, FIELDS);

export const words = ({ note }: Bodies['lockdown']): string => `Setting locked down${after(note)}`;

export const stands = (barn: Barn, { day, body }: Written<Bodies['lockdown']>): void =>
  putRow(barn.settings, body.setting, { locked_down_on: day });

export const unstands = (barn: Barn, { body, before, last }: Struck<Bodies['lockdown']>): void => {
  if (last) putRow(barn.settings, body.setting, { locked_down_on: before?.day ?? null });
};
