// Drawing an outline that was missed: corners one after the other, by pointer or with a crosshair moved by keys.

import { make } from "./outline-canvas.js";
import { distance, selfCrossing, signedArea } from "../drawing/geometry.js";
import { LEAST_AREA } from "./outline-state.js";

const CLOSES = 22; // screen pixels from the first corner
const FEWEST = 3;

export class Drawing {
  // told(text) says something; done(corners) takes the closed outline.
  constructor(svg, words, { told, done, changed }) {
    Object.assign(this, { svg, words, told, done, changed, corners: [], aim: [0, 0] });
    this.layer = make("g", { "aria-hidden": "true" });
    this.cross = make("path", { d: "M-16 0H-5M5 0H16M0-16V-5M0 5V16", class: "oe-crosshair" });
    svg.append(this.layer);
  }

  begin(centre) {
    this.aim = centre;
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
      const first = i === 0 && this.corners.length >= FEWEST;
      return at(make("circle", { r: first ? 11 : 6, class: first ? "oe-dot oe-closes" : "oe-dot" }), corner);
    });
    this.layer.replaceChildren(...lines, ...dots, at(this.cross, this.aim));
  }

  get path() {
    return [...this.corners, this.aim].map((corner, at) => `${at ? "L" : "M"}${corner.join(" ")}`).join("");
  }

  // A corner at a place; close to the first one it closes the outline.
  set(place) {
    this.aim = place;
    const first = this.corners[0];
    if (this.corners.length >= FEWEST && distance(first, place) <= CLOSES * this.scale) return this.close();
    if (this.corners.some((corner) => distance(corner, place) < this.scale)) return this.told("There is a corner here already.");
    const made = [...this.corners, place];
    if (selfCrossing(made, false)) return this.told("Not set: the line would cross itself here.");
    this.corners = made;
    const more = made.length >= FEWEST ? " Close the outline at corner 1, or with Enter." : "";
    this.told(`Corner ${made.length} set, ${this.words.place(place)}.${more}`);
    return this.changed();
  }

  back() {
    if (!this.corners.length) return this.told("There is no corner to take back.");
    this.corners = this.corners.slice(0, -1);
    this.told(`Corner ${this.corners.length + 1} taken back.`);
    return this.changed();
  }

  close() {
    if (this.corners.length < FEWEST) return this.told(`An outline needs ${FEWEST} corners or more; it has ${this.corners.length}.`);
    if (selfCrossing(this.corners)) return this.told("Not closed: the last side would cross another one.");
    if (Math.abs(signedArea(this.corners)) < LEAST_AREA) return this.told("Not closed: the outline is too small to be a zone.");
    return this.done(this.corners);
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
