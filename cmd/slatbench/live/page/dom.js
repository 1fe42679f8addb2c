// The few things that building HTML needs.

export const byID = id => document.getElementById(id);

// el makes an element: el('button', {class: 'x', onclick: f}, 'text', child).
export function el(tag, attributes = {}, ...children) {
  const n = document.createElement(tag);
  for (const [k, v] of Object.entries(attributes)) {
    if (v === undefined || v === null || v === false) continue;
    if (k.startsWith('on')) n.addEventListener(k.slice(2), v);
    else if (k === 'text') n.textContent = v;
    else n.setAttribute(k, v === true ? '' : v);
  }
  n.append(...children.filter(c => c !== null && c !== undefined && c !== false && c !== ''));
  return n;
}

// say sets text only where it differs, so that nothing is laid out for nothing.
export function say(n, text) {
  if (n.said === text) return;
  n.said = text;
  n.textContent = text;
}

export function mark(n, name, yes) {
  const known = n.marks ?? (n.marks = {});
  if (known[name] === yes) return;
  known[name] = yes;
  n.classList.toggle(name, yes);
}

export function pressed(n, yes) {
  const word = yes ? 'true' : 'false';
  if (n.getAttribute('aria-pressed') !== word) n.setAttribute('aria-pressed', word);
}

// choices is a row of which exactly one is chosen.
export function choices(box, list, choose) {
  box.replaceChildren(...list.map(([value, text]) =>
    el('button', { type: 'button', 'data-value': value, 'aria-pressed': 'false', onclick: () => choose(value) }, text)));
  return value => {
    for (const b of box.children) pressed(b, b.dataset.value === String(value));
  };
}
