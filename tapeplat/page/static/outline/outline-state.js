// The outlines of one model and what is done to them. States are never changed: every change makes a new one.

import { areaOf, distance, ringsCross, selfCrossing, signedArea } from "../drawing/geometry.js";
import {
  addedLine, isJoined, isLine, LEAST_LENGTH, lengthOf, lineEdits, linePiece, movedKnot, withKnot, withoutKnot,
} from "./line-state.js";

const MOST_HANDLES = 24; // of a curve, which has hundreds of points
const REACH = 1.6; // how far a curve's point takes the others along, in distances between handles
const SAME = 1e-6;
export const LEAST_AREA = 25; // square millimetres, as the server has it

// The model as the page gives it, lengths turned into millimetres.
export function piecesOf(model) {
  const inMm = (ring) => ring.map(([x, y]) => [x * model.mm, y * model.mm]);
  return model.pieces.map((piece, id) => ({
    ...piece, id, outline: inMm(piece.outline), holes: piece.holes.map(inMm), from: { zone: piece.zone, number: piece.number },
    ...(isLine(piece) ? { ...linePiece(piece, inMm), width: piece.width * model.mm } : {}),
  }));
}

export const ringsOf = (piece) => [piece.outline, ...piece.holes];

export const withRing = (piece, at, ring) =>
  at === 0 ? { ...piece, outline: ring } : { ...piece, holes: piece.holes.map((hole, i) => (i === at - 1 ? ring : hole)) };

const stepOf = (piece, ring) => (piece.curved ? Math.max(1, ring.length / MOST_HANDLES) : 1);

// The points of a ring that have handles.
export function handlesOf(piece, ring) {
  if (isLine(piece)) return piece.knots;
  const step = stepOf(piece, ring);
  return Array.from({ length: Math.round(ring.length / step) }, (_, number) => Math.round(number * step));
}

// Move one corner; of a curve the points near it follow, less the further off they are.
export function moved(piece, ringAt, at, place) {
  if (isLine(piece)) return movedKnot(piece, at, place);
  const ring = ringsOf(piece)[ringAt];
  const by = [place[0] - ring[at][0], place[1] - ring[at][1]];
  const reach = piece.curved ? REACH * stepOf(piece, ring) : 1;
  const made = ring.map((corner, i) => {
    const off = Math.min(Math.abs(i - at), ring.length - Math.abs(i - at));
    const share = off < reach ? 0.5 + 0.5 * Math.cos((Math.PI * off) / reach) : 0;
    return share ? [corner[0] + share * by[0], corner[1] + share * by[1]] : corner;
  });
  return withRing(piece, ringAt, made);
}

// With a corner more on the side after one: the piece, and the new corner's place in its ring.
export function withCorner(piece, ringAt, after, place) {
  if (isLine(piece)) return withKnot(piece, after);
  const ring = ringsOf(piece)[ringAt];
  return { piece: withRing(piece, ringAt, [...ring.slice(0, after + 1), place, ...ring.slice(after + 1)]), at: after + 1 };
}

export function withoutCorner(piece, ringAt, at) {
  if (isLine(piece)) return withoutKnot(piece, at);
  return withRing(piece, ringAt, ringsOf(piece)[ringAt].filter((_, i) => i !== at));
}

export const withoutHole = (piece, hole) => ({ ...piece, holes: piece.holes.filter((_, at) => at !== hole - 1) });

// Where a piece's outline or holes cross, or null; a line may cross itself.
export function crossingOf(piece) {
  if (isLine(piece)) return null;
  for (const ring of ringsOf(piece)) {
    const met = selfCrossing(ring);
    if (met) return met;
  }
  return piece.holes.length ? ringsCross(piece) : null;
}

export const isTooSmall = (piece) => (isLine(piece) ? lengthOf(piece) < LEAST_LENGTH : areaOf(piece) < LEAST_AREA);

// The area of an outline; a line covers none that counts.
export const sizeOf = (piece) => (isLine(piece) ? 0 : areaOf(piece));

// What to send: the differences from the outlines as they were, lengths in the model's unit.
export function editsOf(before, now, mm) {
  const out = (ring) => ring.map(([x, y]) => [x / mm, y / mm]);
  const edits = [];
  for (const old of before) {
    const piece = now.find(({ id }) => id === old.id);
    const { zone, number } = old.from;
    if (!piece) {
      if (!isLine(old)) edits.push({ do: "remove", zone, piece: number });
      else if (!isJoined(old, now)) edits.push({ do: "remove", line: zone, piece: number });
      continue;
    }
    if (isLine(old)) {
      edits.push(...lineEdits(old, piece, before, out));
      continue;
    }
    if (!sameRings(old, piece) || old.status !== piece.status) {
      edits.push({ do: "reshape", zone, piece: number, outline: out(piece.outline), holes: piece.holes.map(out) });
    }
    if (piece.zone !== zone) edits.push({ do: "rezone", zone, piece: number, to: piece.zone });
  }
  const drawn = now.filter(({ from }) => !from);
  const added = (piece) => (isLine(piece) ? addedLine(piece, out, mm) : { do: "add", zone: piece.zone, outline: out(piece.outline) });
  return [...edits, ...drawn.map(added)];
}

function sameRings(a, b) {
  const [one, other] = [ringsOf(a), ringsOf(b)];
  return one.length === other.length && one.every((ring, at) => sameRing(ring, other[at]));
}

function sameRing(a, b) {
  return a.length === b.length && a.every((corner, at) => distance(corner, b[at]) < SAME);
}

// A drawn outline: clockwise in the picture, as all outlines are numbered.
export function drawnPiece(id, zone, corners) {
  const outline = signedArea(corners) < 0 ? [...corners].reverse() : corners;
  return { id, zone, outline, holes: [], curved: false, status: "measured", number: null, from: null };
}
