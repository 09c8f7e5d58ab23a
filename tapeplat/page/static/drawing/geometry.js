// Plane geometry of outlines: lists of [x, y], the last corner joined to the first.

export function signedArea(ring) {
  let twice = 0;
  ring.forEach(([x, y], at) => {
    const [u, v] = ring[(at + 1) % ring.length];
    twice += x * v - u * y;
  });
  return twice / 2;
}

export const areaOf = ({ outline, holes }) =>
  Math.abs(signedArea(outline)) - holes.reduce((sum, hole) => sum + Math.abs(signedArea(hole)), 0);

export const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

export const middle = (a, b) => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];

export function isInside(place, ring) {
  let inside = false;
  ring.forEach((a, at) => {
    const b = ring[(at + 1) % ring.length];
    const across = a[1] > place[1] !== b[1] > place[1];
    if (across && place[0] < ((b[0] - a[0]) * (place[1] - a[1])) / (b[1] - a[1]) + a[0]) inside = !inside;
  });
  return inside;
}

export function distanceToRing(place, ring) {
  return Math.min(...ring.map((a, at) => distanceToSide(place, a, ring[(at + 1) % ring.length])));
}

export function distanceToSide(place, a, b) {
  const along = [b[0] - a[0], b[1] - a[1]];
  const length = along[0] ** 2 + along[1] ** 2;
  const part = length ? ((place[0] - a[0]) * along[0] + (place[1] - a[1]) * along[1]) / length : 0;
  const t = Math.min(1, Math.max(0, part));
  return distance(place, [a[0] + t * along[0], a[1] + t * along[1]]);
}

// A place inside a ring, far from its sides: of a few ones tried, the best; each ring is looked at once.
const ROWS = 8;
const known = new WeakMap();

export function roomiest(ring) {
  if (!known.has(ring)) known.set(ring, findRoom(ring));
  return known.get(ring);
}

function findRoom(ring) {
  const [low, high] = [Math.min, Math.max].map((pick) => [0, 1].map((axis) => pick(...ring.map((corner) => corner[axis]))));
  let best = { at: middle(low, high), room: -1 };
  for (let row = 1; row < ROWS; row += 1) {
    for (let column = 1; column < ROWS; column += 1) {
      const at = [low[0] + ((high[0] - low[0]) * column) / ROWS, low[1] + ((high[1] - low[1]) * row) / ROWS];
      const room = isInside(at, ring) ? distanceToRing(at, ring) : 0;
      if (room > best.room * 1.001) best = { at, room };
    }
  }
  return best.at;
}

// Where a line through these corners crosses itself, or null. An open line lacks the side back to its first corner.
export function selfCrossing(ring, closed = true) {
  const count = closed ? ring.length : ring.length - 1;
  for (let i = 0; i < count; i += 1) {
    for (let j = i + 1; j < count; j += 1) {
      const met = sidesMeet(ring, i, j, closed);
      if (met) return met;
    }
  }
  return null;
}

function sidesMeet(ring, i, j, closed) {
  const n = ring.length;
  const [a, b, c, d] = [ring[i], ring[(i + 1) % n], ring[j], ring[(j + 1) % n]];
  if (j === i + 1 && !(closed && n === 3)) return foldedBack(a, b, d) ? b : null;
  if (closed && i === 0 && j === n - 1) return n > 3 && foldedBack(c, a, b) ? a : null;
  if (j === i + 1) return null; // a triangle cannot cross itself
  return crossing(a, b, c, d);
}

// A spike: the line runs back over itself.
function foldedBack(before, at, after) {
  const [u, v] = [[before[0] - at[0], before[1] - at[1]], [after[0] - at[0], after[1] - at[1]]];
  const across = u[0] * v[1] - u[1] * v[0];
  const along = u[0] * v[0] + u[1] * v[1];
  return along > 0 && Math.abs(across) < 1e-9 * along;
}

// Where the closed rings of one piece cross each other: a hole has to lie inside its outline, clear of other holes.
export function ringsCross({ outline, holes }) {
  const rings = [outline, ...holes];
  for (let i = 0; i < rings.length; i += 1) {
    for (let j = i + 1; j < rings.length; j += 1) {
      const met = twoRingsMeet(rings[i], rings[j]);
      if (met) return met;
    }
  }
  return holes.map((hole) => hole[0]).find((corner) => !isInside(corner, outline)) || null;
}

function twoRingsMeet(one, other) {
  for (let i = 0; i < one.length; i += 1) {
    for (let j = 0; j < other.length; j += 1) {
      const met = crossing(one[i], one[(i + 1) % one.length], other[j], other[(j + 1) % other.length]);
      if (met) return met;
    }
  }
  return null;
}

// Where two sides meet, touching included.
function crossing(a, b, c, d) {
  const turn = (p, q, r) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
  const [s, t, u, v] = [turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)];
  if (s === 0 && t === 0) return [c, d].find((p) => between(p, a, b)) || [a, b].find((p) => between(p, c, d)) || null;
  if (s * t > 0 || u * v > 0) return null;
  const part = u / (u - v);
  return [a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])];
}

function between(p, a, b) {
  const inside = (at) => p[at] >= Math.min(a[at], b[at]) && p[at] <= Math.max(a[at], b[at]);
  return inside(0) && inside(1);
}
