// What the outline editor says: numbers in the class's unit, the names of corners and outlines.

import { areaOf } from "../drawing/geometry.js";
import { isLine, lengthOf } from "./line-state.js";

const DIGITS = { in: 2, cm: 2, mm: 1 };
const STEPS = { in: [1 / 64, 1 / 8, "1/64", "1/8"], cm: [0.05, 0.5, "0.05", "0.5"], mm: [0.5, 5, "0.5", "5"] };

export class Words {
  // origin: the place in millimetres that distances count from.
  constructor(model, origin) {
    Object.assign(this, { unit: model.unit, mm: model.mm, digits: DIGITS[model.unit], origin });
    const [fine, coarse] = STEPS[model.unit];
    this.step = { fine: fine * model.mm, coarse: coarse * model.mm };
  }

  get steps() {
    const [, , fine, coarse] = STEPS[this.unit];
    return `by ${fine} ${this.unit}, with Shift by ${coarse} ${this.unit}`;
  }

  number(mm) {
    return (mm / this.mm).toFixed(this.digits);
  }

  length(mm) {
    return `${this.number(mm)} ${this.unit}`;
  }

  place([x, y]) {
    return `${this.length(x - this.origin[0])} from the left, ${this.length(y - this.origin[1])} from the top`;
  }

  area(square) {
    const value = square / this.mm ** 2;
    const whole = Math.max(1, Math.ceil(Math.log10(Math.max(value, 1e-9))));
    return `about ${value.toFixed(Math.max(0, 3 - whole))} sq ${this.unit}`;
  }

  // How large a piece is: an outline's area, a line's length.
  size(piece) {
    return isLine(piece) ? `about ${this.length(lengthOf(piece))} long` : this.area(areaOf(piece));
  }

  // A piece's name, with its number where there are several of its zone.
  piece(piece, pieces) {
    const alike = pieces.filter((other) => other.zone === piece.zone && (other.outline.length || other === piece));
    return alike.length > 1 ? `${piece.zone} ${alike.indexOf(piece) + 1}` : piece.zone;
  }

  // What a piece's handles are called.
  handle(piece) {
    return piece.curved || isLine(piece) ? "Point" : "Corner";
  }

  corner(name, ringAt, number, piece) {
    const of = ringAt ? `hole ${ringAt} of ${name}` : name;
    return `${this.handle(piece)} ${number} of ${of}`;
  }

  // What a repair changed: verdicts are [rule, verdict], in the challenge's order.
  verdicts(before, now) {
    const known = new Map(before);
    const changed = now.map(([rule, verdict], at) => ({ rule, verdict, was: known.get(rule), number: at + 1 }));
    const said = changed.filter(({ verdict, was }) => was && was !== verdict);
    if (!said.length) return ["No verdict changed."];
    return said.map(({ rule, verdict, was, number }) => `Rule ${number}, ${rule}: ${verdict}, before ${was}.`);
  }
}
