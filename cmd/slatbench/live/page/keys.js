// The keyboard: everything that is done often has a key.

import { el, byID } from './dom.js';

// keys binds a list of [key, words, act, release]. Keys are those of KeyboardEvent,
// with Shift+ before them where that is held.
export function keys(list) {
  const acts = new Map(), releases = new Map();
  for (const [names, , act, release] of list) {
    for (const n of names.split(' ')) {
      acts.set(n, act);
      if (release) releases.set(n, release);
    }
  }
  addEventListener('keydown', e => {
    if (e.ctrlKey || e.altKey || e.metaKey || busy(e)) return;
    const act = acts.get(nameOf(e));
    if (!act) return;
    e.preventDefault();
    if (!e.repeat || /^Arrow/.test(e.key)) act(e);
  });
  addEventListener('keyup', e => {
    const release = releases.get(nameOf(e));
    if (release && !busy(e)) release();
  });
  const rows = list.map(([names, words]) => el('tr', {}, el('th', { scope: 'row' }, ...names.split(' ').flatMap((n, i) => [i ? ' ' : '', el('kbd', {}, shownKey(n))])), el('td', {}, words)));
  byID('keysDialog').querySelector('.dialog-body').replaceChildren(el('table', { class: 'keys' }, el('tbody', {}, ...rows)));
}

function nameOf(e) {
  const k = e.key === ' ' ? 'Space' : e.key.length === 1 ? e.key.toLowerCase() : e.key;
  return e.shiftKey && k !== '?' ? `Shift+${k}` : k;
}

function shownKey(n) {
  return n.replace('Shift+', 'Shift ').replace('ArrowLeft', '←').replace('ArrowRight', '→').replace(/\b[a-z]$/, c => c.toUpperCase());
}

// busy tells that the key belongs to what has the focus.
function busy(e) {
  if (document.querySelector('dialog[open]')) return true;
  const t = e.target;
  if (t.matches?.('input, select, textarea')) return true;
  return (e.key === ' ' || e.key === 'Enter') && t.matches?.('button, summary, a');
}
