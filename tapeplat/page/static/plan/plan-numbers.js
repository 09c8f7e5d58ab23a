// Numbers of a plan as children write them: 4, 4.5, 4 1/2. Nothing is a number that the server would not read.

const MIXED = /^(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)$/;

export function numberOf(text) {
  const plain = text.trim().replace(/^(\d+),(\d+)$/, "$1.$2");
  const mixed = MIXED.exec(plain);
  if (mixed) return Number(mixed[3]) ? Number(mixed[1] || 0) + Number(mixed[2]) / Number(mixed[3]) : NaN;
  return /^(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : NaN;
}

export function textOf(number, unit) {
  const whole = Math.floor(number + 1e-9);
  for (const under of unit === "in" ? [1, 2, 4, 8, 16] : []) {
    const over = Math.round((number - whole) * under);
    if (Math.abs(whole + over / under - number) > 1e-9) continue;
    if (over === 0) return String(whole);
    return whole ? `${whole} ${over}/${under}` : `${over}/${under}`;
  }
  return String(Number(number.toFixed(4)));
}

export const snapped = (number, step) => Number((Math.round(number / step) * step).toFixed(6));

export function cornersOf(text) {
  const found = [...text.matchAll(/\(([^,()]*),([^,()]*)\)/g)].map(([, x, y]) => [numberOf(x), numberOf(y)]);
  return found.length >= 3 && found.flat().every(Number.isFinite) ? found : null;
}
