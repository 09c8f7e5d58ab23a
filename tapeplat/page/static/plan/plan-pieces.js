// The pieces of a plan and what is done to them; a piece is {id, zone, corners}. Nothing here changes what it is given.

import { areaOf, selfCrossing } from "../drawing/geometry.js";
import { cornersOf, numberOf, textOf } from "./plan-numbers.js";

export const boxCorners = (left, top, right, bottom) => [[left, top], [right, top], [right, bottom], [left, bottom]];

export function extentOf(corners) {
  const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
  return { left: Math.min(...xs), top: Math.min(...ys), right: Math.max(...xs), bottom: Math.max(...ys) };
}

export function isBox(corners) {
  if (corners.length !== 4) return false;
  const { left, top, right, bottom } = extentOf(corners);
  const places = new Set(corners.map(String));
  return boxCorners(left, top, right, bottom).every((corner) => places.has(String(corner)));
}

// Whether an outline may stay: it lies on the parcel, does not cross itself and has land in it.
export function isSound(corners, size) {
  const { left, top, right, bottom } = extentOf(corners);
  if (left < 0 || top < 0 || right > size[0] + 1e-9 || bottom > size[1] + 1e-9) return false;
  return !selfCrossing(corners) && areaOf({ outline: corners, holes: [] }) > 1e-6;
}

export function movedBy(corners, across, down, size) {
  const { left, top, right, bottom } = extentOf(corners);
  const x = Math.min(Math.max(across, -left), size[0] - right);
  const y = Math.min(Math.max(down, -top), size[1] - bottom);
  return corners.map((corner) => [tidy(corner[0] + x), tidy(corner[1] + y)]);
}

// A corner at a place; a rectangle stays one.
export function withCornerAt(corners, at, place) {
  if (!isBox(corners)) return corners.map((corner, i) => (i === at ? place : corner));
  const opposite = corners[(at + 2) % 4];
  return corners.map((corner, i) => {
    if (i === at) return place;
    if (i === (at + 2) % 4) return opposite;
    return [corner[0] === opposite[0] ? opposite[0] : place[0], corner[1] === opposite[1] ? opposite[1] : place[1]];
  });
}

// Room for a new rectangle of so many steps: the first that is clear of others, else the parcel's corner.
export function freePlace(pieces, width, depth, step, size) {
  const taken = pieces.map(({ corners }) => extentOf(corners));
  for (let top = step; top + depth <= size[1]; top += step) {
    for (let left = step; left + width <= size[0]; left += step) {
      const [right, bottom] = [left + width, top + depth];
      if (!taken.some((t) => left < t.right && right > t.left && top < t.bottom && bottom > t.top)) {
        return boxCorners(tidy(left), tidy(top), tidy(right), tidy(bottom));
      }
    }
  }
  return boxCorners(0, 0, Math.min(width, size[0]), Math.min(depth, size[1]));
}

// A row's texts as corners; null where they are none yet.
export function cornersOfRow({ left, top, width, depth, corners }) {
  if (corners.trim()) return cornersOf(corners);
  const [x, y, w, d] = [left, top, width, depth].map(numberOf);
  return [x, y, w, d].every(Number.isFinite) && w > 0 && d > 0 ? boxCorners(x, y, tidy(x + w), tidy(y + d)) : null;
}

export function rowOf({ zone, corners }, unit) {
  const text = (number) => textOf(number, unit);
  if (!isBox(corners)) {
    return { zone, left: "", top: "", width: "", depth: "", corners: corners.map((c) => `(${c.map(text).join(", ")})`).join(" ") };
  }
  const { left, top, right, bottom } = extentOf(corners);
  return { zone, left: text(left), top: text(top), width: text(right - left), depth: text(bottom - top), corners: "" };
}

const tidy = (number) => Number(number.toFixed(6));
