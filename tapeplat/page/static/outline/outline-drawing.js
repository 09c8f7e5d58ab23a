// Drawing an outline or a line that was missed: corners one after the other, by pointer or with a crosshair moved by keys.

import { make } from "./outline-canvas.js";
import { distance, selfCrossing, signedArea } from "../drawing/geometry.js";
import { LEAST_LENGTH, lengthOf } from "./line-state.js";
import { LEAST_AREA } from "./outline-state.js";

const CLOSES = 22; // screen pixels from the first corner
const FEWEST = 3;

export class Drawing {
  // told(text) says something; done(corners, closed) takes what was drawn.
  constructor(svg, words, { told, done, changed }) {
    Object.assign(this, { svg, words, told, done, changed, corners: [], aim: [0, 0] });
    this.layer = make("g", { "aria-hidden": "true" });
    this.cross = make("path", { d: "M-16 0H-5M5 0H16M0-16V-5M0 5V16", class: "oe-crosshair" });
    svg.append(this.layer);
  }

  // isLine: not an outline but a line, which needs not close.
  begin(centre, isLine) {
    this.aim = centre;
    this.isLine = isLine;
    this.corners = [];
    this.changed();
  }

  end() {
    this.corners = [];
    this.layer.replaceChildren();
  }

  draw(scale) {
    this.scale = scale;
    const at = (element, [x, y]) => {
      element.setAttribute("transform", `translate(${x} ${y}) scale(${scale})`);
      return element;
    };
    const points = this.corners.map((corner) => corner.join(" "));
    const d = points.length ? `M${[...points, this.aim.join(" ")].join("L")}` : "";
    const lines = ["oe-casing", "oe-line is-chosen"].map((kind) => make("path", { d, class: `${kind} is-drawn` }));
    const dots = this.corners.map((corner, i) => {
      const last = this.isLine && i > 0 && i === this.corners.length - 1;
      const ends = last || (i === 0 && this.corners.length >= FEWEST);
      return at(make("circle", { r: ends ? 11 : 6, class: ends ? "oe-dot oe-closes" : "oe-dot" }), corner);
    });
    this.layer.replaceChildren(...lines, ...dots, at(this.cross, this.aim));
  }

  get path() {
    return [...this.corners, this.aim].map((corner, at) => `${at ? "L" : "M"}${corner.join(" ")}`).join("");
  }

  get word() {
    return this.isLine ? "point" : "corner";
  }

  // A corner at a place; close to the first one it closes the outline, close to a line's last one it ends the line.
  set(place) {
    this.aim = place;
    const near = (corner) => distance(corner, place) <= CLOSES * this.scale;
    if (this.corners.length >= FEWEST && near(this.corners[0])) return this.close(true);
    if (this.isLine && this.corners.length > 1 && near(this.corners[this.corners.length - 1])) return this.close();
    if (this.corners.some((corner) => distance(corner, place) < this.scale)) return this.told(`There is a ${this.word} here already.`);
    const made = [...this.corners, place];
    if (!this.isLine && selfCrossing(made, false)) return this.told("Not set: the line would cross itself here.");
    this.corners = made;
    this.told(`${this.isLine ? "Point" : "Corner"} ${made.length} set, ${this.words.place(place)}.${this.howToEnd(made.length)}`);
    return this.changed();
  }

  howToEnd(count) {
    if (this.isLine) return count > 1 ? " End the line by tapping this point again, or with Enter." : "";
    return count >= FEWEST ? " Close the outline at corner 1, or with Enter." : "";
  }

  back() {
    if (!this.corners.length) return this.told(`There is no ${this.word} to take back.`);
    this.corners = this.corners.slice(0, -1);
    this.told(`${this.isLine ? "Point" : "Corner"} ${this.corners.length + 1} taken back.`);
    return this.changed();
  }

  // closed: a line that ends where it began.
  close(closed = false) {
    if (this.isLine) return this.endLine(closed);
    if (this.corners.length < FEWEST) return this.told(`An outline needs ${FEWEST} corners or more; it has ${this.corners.length}.`);
    if (selfCrossing(this.corners)) return this.told("Not closed: the last side would cross another one.");
    if (Math.abs(signedArea(this.corners)) < LEAST_AREA) return this.told("Not closed: the outline is too small to be a zone.");
    return this.done(this.corners, true);
  }

  endLine(closed) {
    if (this.corners.length < 2) return this.told(`A line needs two points or more; it has ${this.corners.length}.`);
    if (lengthOf({ outline: this.corners, closed }) < LEAST_LENGTH) return this.told("Not ended: the line is too short.");
    return this.done(this.corners, closed);
  }

  move(place) {
    this.aim = place;
    this.changed();
  }

  // True where the key was one for drawing.
  key(event) {
    const step = event.shiftKey ? this.words.step.coarse : this.words.step.fine;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const by = arrows[event.key];
    if (by) {
      this.move([this.aim[0] + by[0] * step, this.aim[1] + by[1] * step]);
      this.told(this.words.place(this.aim), "later");
    } else if (event.key === " ") this.set(this.aim);
    else if (event.key === "Enter") this.close();
    else if (event.key === "Backspace" || event.key === "Delete") this.back();
    else return false;
    return true;
  }
}
