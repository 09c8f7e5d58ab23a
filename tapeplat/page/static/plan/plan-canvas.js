// Draws the pieces of a plan into its SVG, with handles on the chosen one. Lengths are the challenge's.

import { middle } from "../drawing/geometry.js";

const SVG = "http://www.w3.org/2000/svg";
const DOT = 8; // screen pixels
const TOUCH = 22;
const LETTER = 0.76; // the widest names: width of a letter of this weight, in parts of its size
const LEAST_NAME = 0.45; // of the usual size

export function made(name, attributes = {}, ...children) {
  const element = document.createElementNS(SVG, name);
  Object.entries(attributes).forEach(([key, value]) => element.setAttribute(key, value));
  element.append(...children);
  return element;
}

export class Canvas {
  constructor(svg, colours) {
    this.layer = svg.querySelector("[data-pieces]");
    this.handles = made("g");
    this.sketch = made("g");
    svg.append(this.handles, this.sketch);
    this.colours = colours;
  }

  show(pieces, chosen, pixel) {
    const focused = document.activeElement?.dataset?.key;
    const numbers = {};
    this.layer.replaceChildren(...pieces.map((piece) => {
      numbers[piece.zone] = (numbers[piece.zone] || 0) + 1;
      return this.piece(piece, numbers[piece.zone], piece.id === chosen?.id);
    }));
    this.handles.replaceChildren(...(chosen ? this.handlesOf(chosen, pixel) : []));
    if (focused) this.focus(focused);
  }

  focus(key) {
    [this.layer, this.handles].forEach((layer) => layer.querySelector(`[data-key="${CSS.escape(key)}"]`)?.focus());
  }

  piece({ id, zone, corners }, number, isChosen) {
    const { middle: [x, y], length } = labelPlace(corners);
    const text = made("text", { class: "on-plan", x, y, "font-size": this.sizeOf(zone, length) });
    text.textContent = zone;
    return made("g", {
      "data-piece": id, "data-key": `piece-${id}`, tabindex: 0, role: "button", "aria-pressed": isChosen,
      "aria-label": `${zone}, piece ${number}, ${corners.length} corners`, class: isChosen ? "is-chosen" : "",
    }, made("polygon", { class: `piece fill-${this.colours[zone] ?? 0}`, points: corners.map(String).join(" ") }), text);
  }

  // As large as fits into the piece, so that no name lies over a neighbour's; of very narrow ones it stays readable.
  sizeOf(zone, length) {
    const usual = Number(this.layer.getAttribute("font-size"));
    return Math.max(LEAST_NAME * usual, Math.min(usual, length / (LETTER * zone.length)));
  }

  handlesOf({ zone, corners }, pixel) {
    const dots = corners.map((corner, at) => this.handle(corner, pixel, DOT, {
      "data-corner": at, "data-key": `corner-${at}`, class: "handle", "aria-label": `Corner ${at + 1} of ${zone}`,
    }));
    const between = corners.map((corner, at) => this.handle(middle(corner, corners[(at + 1) % corners.length]), pixel, DOT * 0.6, {
      "data-after": at, "data-key": `after-${at}`, class: "handle new", "aria-label": `New corner after corner ${at + 1} of ${zone}`,
    }));
    return [...between, ...dots];
  }

  handle([cx, cy], pixel, size, attributes) {
    const touch = size < DOT ? TOUCH * 0.7 : TOUCH;
    return made("g", { ...attributes, tabindex: 0, role: "button" },
      made("circle", { class: "touch", cx, cy, r: touch * pixel }), made("circle", { class: "dot", cx, cy, r: size * pixel }));
  }

  // What is being drawn; corners of an open line, or of a closed one.
  draw(corners, closed, pixel) {
    const points = corners.map(String).join(" ");
    const dots = corners.map(([cx, cy]) => made("circle", { class: "drawing", cx, cy, r: DOT * pixel * 0.7 }));
    const line = made(closed ? "polygon" : "polyline", { class: "drawing", points });
    this.sketch.replaceChildren(...(corners.length ? [line, ...(closed ? [] : dots)] : []));
  }
}

// The middle of the longest of some level lines through a piece.
function labelPlace(corners) {
  const ys = corners.map(([, y]) => y);
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const lines = [0.5, 0.25, 0.75].map((part) => longestInside(corners, top + part * (bottom - top) + 1e-7));
  return lines.reduce((best, line) => (line.length > 1.2 * best.length ? line : best));
}

function longestInside(corners, y) {
  const cuts = [];
  corners.forEach(([ax, ay], at) => {
    const [bx, by] = corners[(at + 1) % corners.length];
    if (ay > y !== by > y) cuts.push(ax + ((y - ay) * (bx - ax)) / (by - ay));
  });
  cuts.sort((a, b) => a - b);
  let best = [cuts[0] ?? corners[0][0], cuts[1] ?? corners[0][0]];
  for (let at = 0; at + 1 < cuts.length; at += 2) if (cuts[at + 1] - cuts[at] > best[1] - best[0]) best = [cuts[at], cuts[at + 1]];
  return { length: best[1] - best[0], middle: [(best[0] + best[1]) / 2, y] };
}
