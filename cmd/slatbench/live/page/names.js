// Words for what the bench tells in numbers and in file words.

export const plain = word => word.replaceAll('-', ' ');

export const sentence = text => text ? text[0].toUpperCase() + text.slice(1) : '';

export function clock(t) {
  if (t < 600) return t.toFixed(2);
  const m = Math.floor(t / 60);
  return `${m}:${(t - m * 60).toFixed(1).padStart(4, '0')}`;
}

// fixed writes a number with so many decimals; what rounds to nought has no sign.
export function fixed(v, digits) {
  const text = v.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−');
}

export function seconds(t) {
  return `${t.toFixed(2)} s`;
}

// margin says a signed distance to violation in a unit that reads well.
export function margin(value, unit) {
  if (value === null || value === undefined) return '';
  if (unit === 'm') return signed(value * 1000, 1) + ' mm';
  const digits = Math.abs(value) >= 100 ? 0 : unit === 's' || unit === 'V' ? 3 : 2;
  return `${signed(value, digits)} ${unit}`;
}

function signed(v, digits) {
  return (v < 0 ? '−' : '+') + Math.abs(v).toFixed(digits);
}

// shown is a parameter's number in the unit in which people say it.
export function shown(param, value) {
  if (param.words?.length) return param.words[value] ?? '';
  return `${short(value * param.scale)}${param.unit ? ' ' + param.unit : ''}`;
}

export function short(v) {
  return String(Number(v.toPrecision(3)));
}
