/** The owner's list of customers, asked of the house when a page needs it; nothing of it is kept. */
import { useEffect, useState } from 'preact/hooks';
import { me } from '../../book/index.ts';
import type { Customer } from '../../book/trip/customers.ts';

export interface Asked {
  /** Null while it is asked for, or where it cannot be had. */
  list: Customer[] | null;
  wrong: string | null;
  again: () => void;
}

export function useCustomers(): Asked {
  const [list, setList] = useState<Customer[] | null>(null);
  const [wrong, setWrong] = useState<string | null>(null);
  const [turn, setTurn] = useState(0);
  const owner = me.value?.role === 'owner';
  useEffect(() => {
    let here = true;
    if (!owner) return;
    import('../../book/trip/customers.ts')
      .then(({ customers }) => customers())
      .then(
        (found) => {
          if (!here) return;
          setList(found);
          setWrong(null);
        },
        (error: unknown) => {
          if (here) setWrong(error instanceof Error ? error.message : 'The house cannot be reached.');
        },
      );
    return () => {
      here = false;
    };
  }, [turn, owner]);
  return { list, wrong, again: () => setTurn((n) => n + 1) };
}

/** What to call somebody: the name, where this owner reached the house; else the tail of the id, which says nothing. */
export const called = (list: Customer[] | null, id: string | null): string =>
  id === null ? 'nobody in the list' : (list?.find((c) => c.id === id)?.name ?? `customer …${id.slice(-4)}`);
