import { type EntryView, me } from '../../book/index.ts';

/** Owners strike any entry, helpers their own. */
export const mayStrike = ({ author }: Pick<EntryView, 'author'>): boolean =>
  me.value?.role === 'owner' || (me.value?.role === 'helper' && author === me.value.person);
