// Light and dark: the system's wish, until somebody switches.

import { byID, say } from './dom.js';

const NAME = 'slatbench.theme';

export function theme(changed) {
  const system = matchMedia('(prefers-color-scheme: dark)');
  let wish = read();
  const dark = () => wish ? wish === 'dark' : system.matches;
  function apply() {
    document.documentElement.dataset.theme = dark() ? 'dark' : 'light';
    say(byID('theme'), dark() ? 'Light' : 'Dark');
    byID('theme').setAttribute('aria-label', dark() ? 'Switch to light colours' : 'Switch to dark colours');
    changed();
  }
  system.addEventListener('change', apply);
  apply();
  return () => {
    wish = dark() ? 'light' : 'dark';
    try { localStorage.setItem(NAME, wish); } catch { /* a page without storage forgets it */ }
    apply();
  };
}

function read() {
  try { return localStorage.getItem(NAME); } catch { return null; }
}
