// A piece of a line in the editor: points along its middle, some of which, its knots, have handles. Between two knots
// the line keeps its shape: what is moved takes it along, less the further off it is.

import { distance, distanceToSide, middle } from "../drawing/geometry.js";

const STRAIGHT = 1.5; // millimetres that a line may leave the straight way between two knots
export const LEAST_LENGTH = 3; // millimetres, as the server has it

export const isLine = (piece) => piece.kind === "line";

// Of a closed line the model repeats the first point; the editor does not.
export function linePiece(piece, toMm) {
  const points = toMm(piece.outline);
  const outline = piece.closed ? points.slice(0, -1) : points;
  return { outline, joined: [], knots: knotsOf(outline, piece.closed) };
}

export const drawnLine = (id, line, outline, closed, width) => ({
  id, zone: line, kind: "line", outline, holes: [], closed, width, joined: [], knots: outline.map((_, at) => at),
  status: "measured", number: null, from: null,
});

// The points as a path: of a closed line back to the first one.
export const pathPoints = ({ outline, closed }) => (closed ? [...outline, outline[0]] : outline);

const steps = (points) => points.slice(1).map((point, at) => distance(points[at], point));

// How far each point lies from the first one, along the line.
function along(points) {
  const far = [0];
  steps(points).forEach((step, i) => far.push(far[i] + step));
  return far;
}

export const lengthOf = (piece) => steps(pathPoints(piece)).reduce((sum, step) => sum + step, 0);

// The place half-way along it.
export function middleOf(piece) {
  const points = pathPoints(piece);
  const far = along(points);
  const half = far[far.length - 1] / 2;
  const at = Math.max(1, far.findIndex((gone) => gone >= half));
  const part = (half - far[at - 1]) / (far[at] - far[at - 1] || 1);
  return [0, 1].map((axis) => points[at - 1][axis] + part * (points[at][axis] - points[at - 1][axis]));
}

export const distanceToLine = (place, piece) =>
  Math.min(...pathPoints(piece).slice(1).map((point, at, rest) => distanceToSide(place, at ? rest[at - 1] : piece.outline[0], point)));

// Numbers of the points that a line bends at: Douglas and Peucker's way of leaving points out.
function knotsOf(points, closed) {
  const last = points.length - 1;
  if (!closed) return [...bends(points, 0, last), last];
  const far = points.reduce((best, point, at) => (distance(point, points[0]) > distance(points[best], points[0]) ? at : best), 0);
  return [...bends(points, 0, far), ...bends([...points, points[0]], far, last + 1)];
}

// From and the bends after it, before `to`.
function bends(points, from, to) {
  let [most, at] = [0, -1];
  for (let i = from + 1; i < to; i += 1) {
    const off = distanceToSide(points[i], points[from], points[to]);
    if (off > most) [most, at] = [off, i];
  }
  return most > STRAIGHT ? [...bends(points, from, at), ...bends(points, at, to)] : [from];
}

// The points after the one numbered `from` up to and with `to`, around the start where the line is closed.
function between(piece, from, to) {
  const count = piece.outline.length;
  const found = [];
  for (let at = from; at !== to;) {
    at = (at + 1) % count;
    found.push(at);
  }
  return found;
}

export const nextKnot = (piece, at) => piece.knots[(piece.knots.indexOf(at) + 1) % piece.knots.length];

// Half-way along the stretch after a knot: a point that is there, or a new one between two.
function halfway(piece, at) {
  const stretch = between(piece, at, nextKnot(piece, at));
  const points = [at, ...stretch].map((number) => piece.outline[number]);
  if (stretch.length < 2) return { place: middle(points[0], points[1]), number: null };
  const far = along(points);
  const half = far[far.length - 1] / 2;
  let best = 1;
  for (let i = 2; i < far.length - 1; i += 1) if (Math.abs(far[i] - half) < Math.abs(far[best] - half)) best = i;
  return { place: points[best], number: stretch[best - 1] };
}

export const halfwayPlace = (piece, at) => halfway(piece, at).place;

// A knot half-way along the stretch after a knot; with its number.
export function withKnot(piece, at) {
  const { place, number } = halfway(piece, at);
  if (number !== null) return { piece: { ...piece, knots: [...piece.knots, number].sort((a, b) => a - b) }, at: number };
  const outline = [...piece.outline.slice(0, at + 1), place, ...piece.outline.slice(at + 1)];
  const knots = [...piece.knots.map((knot) => (knot > at ? knot + 1 : knot)), at + 1].sort((a, b) => a - b);
  return { piece: { ...piece, outline, knots }, at: at + 1 };
}

// Without a knot the line runs straight between those beside it; without its first or last it ends at the next one.
export function withoutKnot(piece, at) {
  const { knots, closed, outline } = piece;
  const number = knots.indexOf(at);
  const count = knots.length;
  const [before, after] = [closed ? knots[(number - 1 + count) % count] : knots[number - 1], closed ? knots[(number + 1) % count] : knots[number + 1]];
  let gone = new Set();
  if (before === undefined) gone = new Set([...outline.keys()].filter((i) => i < after));
  else if (after === undefined) gone = new Set([...outline.keys()].filter((i) => i > before));
  else between(piece, before, after).forEach((i) => { if (i !== after) gone.add(i); });
  return without(piece, gone);
}

function without(piece, gone) {
  const left = [...piece.outline.keys()].filter((at) => !gone.has(at));
  const knots = piece.knots.filter((at) => !gone.has(at)).map((at) => left.indexOf(at));
  return { ...piece, outline: left.map((at) => piece.outline[at]), knots };
}

// A knot put at a place; the points up to the knots beside it follow by how near they are to it.
export function movedKnot(piece, at, place) {
  const by = [place[0] - piece.outline[at][0], place[1] - piece.outline[at][1]];
  const share = new Map([[at, 1]]);
  for (const way of [1, -1]) follow(piece, at, way, share);
  const outline = piece.outline.map((point, i) => (share.has(i) ? [point[0] + share.get(i) * by[0], point[1] + share.get(i) * by[1]] : point));
  return { ...piece, outline };
}

function follow(piece, at, way, share) {
  const count = piece.outline.length;
  const path = [at];
  const step = (i) => (piece.closed ? (i + way + count) % count : i + way);
  for (let i = step(at); i >= 0 && i < count; i = step(i)) {
    path.push(i);
    if (piece.knots.includes(i)) break;
  }
  if (path.length < 2) return;
  const far = along(path.map((i) => piece.outline[i]));
  const whole = far[far.length - 1];
  path.slice(1, -1).forEach((i, number) => share.set(i, Math.max(share.get(i) ?? 0, 1 - far[number + 1] / whole)));
}

// Two pieces as one, by a straight stretch between the two ends that are nearest to each other.
export function joinedLines(host, other) {
  const ends = (piece) => [false, true].map((turned) => (turned ? turnedRound(piece) : piece));
  const ways = ends(host).flatMap((a) => ends(other).map((b) => [a, b]));
  const gap = ([a, b]) => distance(a.outline[a.outline.length - 1], b.outline[0]);
  const [a, b] = ways.reduce((best, way) => (gap(way) < gap(best) ? way : best));
  const skip = gap([a, b]) === 0 ? 1 : 0;
  const outline = [...a.outline, ...b.outline.slice(skip)];
  const moved = b.knots.map((at) => at + a.outline.length - skip).filter((at) => at >= a.outline.length);
  const joined = [...host.joined, other.id, ...other.joined];
  return { ...host, outline, knots: [...a.knots, ...moved], joined };
}

function turnedRound(piece) {
  const last = piece.outline.length - 1;
  return { ...piece, outline: [...piece.outline].reverse(), knots: piece.knots.map((at) => last - at).reverse() };
}

// What to send of a piece, lengths in the model's unit; before: all pieces as they were.
export function lineEdits(old, piece, before, out) {
  const { zone: line, number } = old.from;
  const own = piece.joined.map((id) => before.find((other) => other.id === id)).filter((other) => other?.from.zone === line);
  const edits = [];
  if (!samePoints(old.outline, piece.outline) || piece.joined.length || piece.closed !== old.closed) {
    const joined = own.map(({ from }) => from.number);
    edits.push({ do: "reshape", line, piece: number, centreline: out(piece.outline), joined, closed: piece.closed });
  }
  if (piece.zone !== line) edits.push({ do: "rezone", line, piece: number, to: piece.zone });
  return edits;
}

// Whether a piece that is gone is part of another one of its line now.
export const isJoined = (old, now) =>
  now.some((piece) => isLine(piece) && piece.from?.zone === old.from.zone && piece.joined.includes(old.id));

export const addedLine = ({ zone, outline, closed, width }, out, mm) => ({
  do: "add", line: zone, centreline: out(outline), closed, ...(width ? { width: width / mm } : {}),
});

const samePoints = (a, b) => a.length === b.length && a.every((point, at) => distance(point, b[at]) < 1e-6);
