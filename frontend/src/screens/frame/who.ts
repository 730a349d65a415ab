import { type Id, people } from '../../book/index.ts';

/** Who wrote it, by name; a person this phone has not heard of yet is somebody. */
export function who(id: Id): string {
  return people.value.find((p) => p.id === id)?.name ?? 'somebody';
}
