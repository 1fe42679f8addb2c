// The few things that drawing in SVG needs.

const SPACE = 'http://www.w3.org/2000/svg';

export function node(name, attributes = {}, ...children) {
  const n = document.createElementNS(SPACE, name);
  for (const [k, v] of Object.entries(attributes)) n.setAttribute(k, v);
  n.append(...children);
  return n;
}

// put sets an attribute only where it differs: most of a still picture costs nothing.
export function put(n, name, value) {
  const known = n.known ?? (n.known = {});
  if (known[name] === value) return;
  known[name] = value;
  n.setAttribute(name, value);
}

export function write(n, text) {
  if (n.said === text) return;
  n.said = text;
  n.textContent = text;
}

export function show(n, yes) {
  put(n, 'visibility', yes ? 'visible' : 'hidden');
}
