import { useState } from 'preact/hooks';
import { me } from '../../book/index.ts';
import { Button } from '../../parts/button.tsx';
import { PickField } from '../../parts/field.tsx';
import { Sheet } from '../../parts/sheet.tsx';
import { CustomerForm } from './customer-form.tsx';
import { called, useCustomers } from './use-customers.ts';

interface Props {
  /** The id that says nothing; null: nobody in the list. */
  value: string | null;
  onPick: (id: string | null) => void;
}

/** For whom: picked by name where the house can be reached; without it the entry is for nobody in the list, or stays whose it was. */
export function PickCustomer({ value, onPick }: Props) {
  const { list, wrong, again } = useCustomers();
  const [adding, setAdding] = useState(false);
  if (me.value?.role !== 'owner') return null;
  if (list === null)
    return (
      <p class="quiet">
        {wrong === null
          ? 'Asking the house for the customers.'
          : `For ${called(null, value)}. Customers are kept at the house alone, and it cannot be reached; one can be picked later.`}
      </p>
    );
  return (
    <div class="stack">
      <PickField
        label="Customer"
        value={value ?? ''}
        onPick={(id) => onPick(id === '' ? null : id)}
        options={[
          { value: '', name: 'Nobody in the list' },
          ...list.map((c) => ({ value: c.id, name: c.name })),
          ...(value !== null && !list.some((c) => c.id === value)
            ? [{ value, name: called(list, value) }]
            : []),
        ]}
        hint="The entry holds an id that says nothing; the name stays at the house."
      />
      <Button onClick={() => setAdding(true)}>Somebody new</Button>
      {adding && (
        <Sheet title="A new customer" onClose={() => setAdding(false)}>
          <CustomerForm
            onKept={(kept) => {
              setAdding(false);
              again();
              onPick(kept.id);
            }}
          />
        </Sheet>
      )}
    </div>
  );
}
