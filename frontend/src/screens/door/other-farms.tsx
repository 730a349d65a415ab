import { useEffect, useState } from 'preact/hooks';
import { otherFarms } from '../../book/index.ts';
import { amount } from '../../parts/amount.ts';
import { Notice } from '../../parts/notice.tsx';

type Others = Awaited<ReturnType<typeof otherFarms>>;

/** Entries of another farm that are still on this phone: they wait for somebody of that farm, and must not be forgotten. */
export function OtherFarms() {
  const [others, setOthers] = useState<Others>([]);
  useEffect(() => {
    otherFarms().then(
      (found) => setOthers(found.filter((farm) => farm.waiting > 0)),
      () => {}, // a store that cannot be read is said by the page itself
    );
  }, []);
  if (others.length === 0) return null;
  return (
    <Notice>
      {others.map((farm) => (
        <p key={farm.farm}>
          <b>{amount(farm.waiting, 'entry', 'entries')}</b> of {farm.name} {farm.waiting === 1 ? 'is' : 'are'}{' '}
          on this device. They are sent when somebody of {farm.name} signs in here.
        </p>
      ))}
    </Notice>
  );
}
