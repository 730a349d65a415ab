/** Day, night or as the device wishes: one attribute on the page, remembered on this phone. */
export type Light = 'device' | 'day' | 'night';

const KEY = 'barnbook.light';

export function light(): Light {
  try {
    const kept = localStorage.getItem(KEY);
    return kept === 'day' || kept === 'night' ? kept : 'device';
  } catch {
    return 'device'; // storage may be shut off; the look is not worth an error
  }
}

export function setLight(choice: Light): void {
  try {
    if (choice === 'device') localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, choice);
  } catch {
    // kept for this opening only
  }
  applyLight(choice);
}

export function applyLight(choice: Light = light()): void {
  if (choice === 'device') delete document.documentElement.dataset.light;
  else document.documentElement.dataset.light = choice;
}
