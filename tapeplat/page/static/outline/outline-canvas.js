// The editor's picture: the photo, every outline, and the handles of the chosen one. Draws only; decides nothing.

import { distance, middle, roomiest } from "../drawing/geometry.js";
import { halfwayPlace, isLine, middleOf, nextKnot } from "./line-state.js";
import { crossingOf, handlesOf, ringsOf } from "./outline-state.js";

const SVG = "http://www.w3.org/2000/svg";
const DOT = 7; // screen pixels, as are all sizes of handles
const TOUCH = 22;
const ROOM_FOR_MIDDLE = 64; // shorter sides have no handle in their middle: zoom in
const LOUPE = 3;
const TEXT = 13;
const BELOW = 24; // a line's name stands below its handles
const CROSS = "M-11-11L11 11M11-11L-11 11";

export function make(name, attributes = {}, ...children) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

export const pathOf = (piece) => ringsOf(piece).filter((ring) => ring.length).map((ring) => `M${ring.map((c) => c.join(" ")).join("L")}${isLine(piece) && !piece.closed ? "" : "Z"}`).join("");

export class Canvas {
  constructor(svg, loupe, picture, words) {
    Object.assign(this, { svg, loupe, words, handles: [], middles: [], names: [], shape: "" });
    const image = () => make("image", {
      href: picture.url, x: picture.left, y: picture.top, width: picture.width, height: picture.height,
      preserveAspectRatio: "none",
    });
    this.outlines = make("g");
    this.marks = make("g", { "aria-hidden": "true" });
    this.grips = make("g");
    this.alarm = make("g", { "aria-hidden": "true" });
    svg.append(image(), this.outlines, this.marks, this.grips, this.alarm);
    this.closeUp = make("path", { class: "oe-close-up" });
    this.aim = make("path", { class: "oe-aim" });
    loupe.append(image(), this.closeUp, this.aim);
  }

  // Draw all pieces; `chosen` is one of them or null, `scale` the millimetres of a screen pixel.
  draw(pieces, chosen, scale) {
    const rest = pieces.map((piece) => this.outline(piece, piece === chosen));
    this.outlines.replaceChildren(...rest.flat());
    this.names = pieces.map((piece) => this.name(piece, pieces, piece === chosen));
    this.marks.replaceChildren(...this.names);
    const shape = chosen ? `${chosen.id}:${ringsOf(chosen).map((ring) => handlesOf(chosen, ring)).join(";")}` : "";
    if (shape !== this.shape) this.makeHandles(chosen);
    this.shape = shape;
    this.showCrossing(chosen && crossingOf(chosen));
    if (chosen) this.placeHandles(chosen, pieces);
    this.rescale(scale);
  }

  outline(piece, isChosen) {
    const state = isChosen ? (crossingOf(piece) ? " is-chosen is-crossing" : " is-chosen") : "";
    const d = pathOf(piece);
    const known = piece.status === "measured" ? "" : " is-unmeasured";
    return ["oe-casing", "oe-line"].map((kind) => make("path", { d, class: `${kind}${state}${known}` }));
  }

  name(piece, pieces, isChosen) {
    const words = this.words.piece(piece, pieces);
    const label = make("g", { class: isChosen ? "oe-name is-chosen" : "oe-name" }, make("text", { y: isLine(piece) ? BELOW : TEXT / 3 }, words));
    label.at = !piece.outline.length ? [0, 0] : isLine(piece) ? middleOf(piece) : roomiest(piece.outline);
    if (!piece.outline.length) label.setAttribute("class", "oe-nowhere");
    return label;
  }

  makeHandles(piece) {
    this.handles = [];
    this.middles = [];
    for (const [ringAt, ring] of piece ? ringsOf(piece).entries() : []) {
      handlesOf(piece, ring).forEach((at, number) => {
        const text = make("text", { y: -DOT - 5 }, piece.curved ? "" : String(number + 1));
        const hit = make("circle", { r: TOUCH, class: "oe-touch" });
        const dot = make("circle", { r: DOT, class: "oe-dot" });
        const corner = make("g", { class: "oe-corner", role: "button", tabindex: "0" }, hit, dot, text);
        this.handles.push({ element: corner, ringAt, at, number: number + 1 });
        if (piece.curved || (isLine(piece) && !piece.closed && number === piece.knots.length - 1)) return;
        const plus = make("path", { d: "M-4 0H4M0-4V4", class: "oe-plus" });
        const ground = make("circle", { r: DOT, class: "oe-middle-dot" });
        const reach = make("circle", { r: TOUCH, class: "oe-touch" });
        const add = make("g", { class: "oe-middle", role: "button", tabindex: "0" }, reach, ground, plus);
        this.middles.push({ element: add, ringAt, at, number: number + 1 });
      });
    }
    const inOrder = this.handles.flatMap((handle, at) => [handle, this.middles[at]]).filter(Boolean);
    this.grips.replaceChildren(...inOrder.map(({ element }) => element));
  }

  placeHandles(piece, pieces) {
    const name = this.words.piece(piece, pieces);
    for (const handle of this.handles) {
      handle.place = ringsOf(piece)[handle.ringAt][handle.at];
      const corner = this.words.corner(name, handle.ringAt, handle.number, piece);
      handle.label = `${corner}, ${this.words.place(handle.place)}`;
      handle.element.setAttribute("aria-label", handle.label);
    }
    for (const side of this.middles) {
      const ring = ringsOf(piece)[side.ringAt];
      const next = isLine(piece) ? nextKnot(piece, side.at) : (side.at + 1) % ring.length;
      side.ends = [ring[side.at], ring[next]];
      side.place = isLine(piece) ? halfwayPlace(piece, side.at) : middle(...side.ends);
      const of = side.ringAt ? `hole ${side.ringAt} of ${name}` : name;
      const [what, number] = [this.words.handle(piece).toLowerCase(), this.numberOf(side.ringAt, next, piece)];
      side.element.setAttribute("aria-label", `Add a ${what} between ${what}s ${side.number} and ${number} of ${of}`);
    }
  }

  showCrossing(place) {
    this.alarm.replaceChildren();
    if (!place) return;
    const cross = make("g", { class: "oe-crossing" }, make("path", { d: CROSS, class: "oe-casing" }), make("path", { d: CROSS }));
    cross.at = place;
    this.names.push(cross);
    this.alarm.append(cross);
  }

  // Handles and words keep their size on the screen, however large the picture is shown.
  rescale(scale) {
    for (const { element, place } of this.handles) put(element, place, scale);
    for (const label of this.names) put(label, label.at, scale);
    for (const side of this.middles) {
      put(side.element, side.place, scale);
      side.element.classList.toggle("is-away", distance(...side.ends) < ROOM_FOR_MIDDLE * scale);
      side.element.setAttribute("tabindex", side.element.classList.contains("is-away") ? "-1" : "0");
    }
  }

  // The handle under a place, within a fingertip of it; corners come before the middles of sides.
  grip(place, scale) {
    const sides = this.middles.filter(({ element }) => !element.classList.contains("is-away"));
    const far = (handle) => distance(handle.place, place) / scale;
    const corners = this.handles.map((handle) => ({ handle, kind: "corner", rank: far(handle) }));
    const all = [...corners, ...sides.map((handle) => ({ handle, kind: "middle", rank: far(handle) + 8 }))];
    const near = all.filter(({ handle }) => far(handle) <= TOUCH);
    return near.sort((a, b) => a.rank - b.rank)[0] || null;
  }

  handleOf(element) {
    return this.handles.find((handle) => handle.element === element);
  }

  middleOf(element) {
    return this.middles.find((side) => side.element === element);
  }

  // The number on a corner's handle, from 1; `piece` may have one corner more than its handles yet.
  numberOf(ringAt, at, piece) {
    return handlesOf(piece, ringsOf(piece)[ringAt]).indexOf(at) + 1;
  }

  focusCorner(ringAt, at) {
    const found = this.handles.find((handle) => handle.ringAt === ringAt && handle.at === at);
    if (found) found.element.focus({ preventScroll: true });
  }

  // The close-up around a place, in the corner of the picture that is away from it; `d` is the line being changed.
  magnify(place, d, scale, onScreen, width) {
    const half = (this.loupe.getBoundingClientRect().width || 132) / 2;
    const reach = (half * scale) / LOUPE;
    this.loupe.setAttribute("viewBox", [place[0] - reach, place[1] - reach, 2 * reach, 2 * reach].join(" "));
    this.closeUp.setAttribute("d", d);
    const [x, y] = place;
    const gap = reach / 8;
    this.aim.setAttribute("d", `M${x - reach} ${y}H${x - gap}M${x + gap} ${y}H${x + reach}M${x} ${y - reach}V${y - gap}M${x} ${y + gap}V${y + reach}`);
    this.loupe.classList.toggle("is-right", onScreen[0] < width / 2);
    this.loupe.removeAttribute("hidden");
  }

  hideLoupe() {
    this.loupe.setAttribute("hidden", "");
  }
}

function put(element, place, scale) {
  element.setAttribute("transform", `translate(${place[0]} ${place[1]}) scale(${scale})`);
}
