import { useEffect, useState } from 'preact/hooks';
import { Notice } from '../../parts/notice.tsx';

const LOOK_AFTER_MS = 4000;

/** Whether the browser keeps the app for a time without signal: not over plain http, nor past a certificate's warning. */
export async function isAppKept(): Promise<boolean> {
  if (!('serviceWorker' in navigator)) return false;
  const there = async () =>
    (await navigator.serviceWorker.getRegistration().catch(() => undefined)) !== undefined;
  // It is registered once the page has been drawn.
  if (await there()) return true;
  await new Promise((later) => setTimeout(later, LOOK_AFTER_MS));
  return there();
}

/** Said to whoever might walk into the barn with a phone that shows nothing there. */
export function NotKept() {
  const [kept, setKept] = useState(true);
  useEffect(() => {
    let here = true;
    void isAppKept().then((is) => here && setKept(is));
    return () => {
      here = false;
    };
  }, []);
  if (kept) return null;
  return (
    <Notice>
      <p>
        <b>Without signal Barnbook will not open here.</b> This device does not trust the house, so its
        browser keeps no app of it. Open the plain address that the house printed when it started (
        <code>http://</code>, first time), and do its three steps. What is written here is kept meanwhile: do
        not clear the browser.
      </p>
    </Notice>
  );
}
