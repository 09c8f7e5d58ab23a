// The plan's rows of numbers: the form that is sent. The drawing writes them, and follows what is typed in them.

import { cornersOfRow, rowOf } from "./plan-pieces.js";

const FIELDS = ["zone", "left", "top", "width", "depth", "corners"];

export class Rows {
  constructor(root, unit, typed) {
    Object.assign(this, { unit, typed, place: root.querySelector("[data-rows]"), made: 1000 });
    this.template = root.querySelector("[data-row-template]");
    this.place.addEventListener("input", () => typed(this.read()));
  }

  // The pieces of all rows that describe one; ids count the rows.
  read() {
    const rows = [...this.place.querySelectorAll("[data-row]")].map(valuesOf);
    const pieces = rows.map((row, id) => ({ id, zone: row.zone, corners: row.zone ? cornersOfRow(row) : null }));
    return pieces.filter(({ corners }) => corners);
  }

  write(pieces) {
    this.make(pieces.length + 1);
    this.place.querySelectorAll("[data-row]").forEach((row, at) => {
      const values = pieces[at] ? rowOf(pieces[at], this.unit) : {};
      FIELDS.forEach((name) => { row.querySelector(`[name="piece_${name}"]`).value = values[name] ?? ""; });
      row.querySelector("[data-number]").textContent = at + 1;
      row.querySelectorAll("[aria-invalid]").forEach((field) => field.removeAttribute("aria-invalid"));
      row.querySelectorAll(".wrong").forEach((said) => said.remove());
    });
  }

  // So many rows there are to be.
  make(count) {
    const rows = [...this.place.querySelectorAll("[data-row]")];
    while (rows.length < count) rows.push(this.add());
    rows.slice(count).forEach((row) => row.remove());
  }

  add() {
    const part = this.template.content.cloneNode(true);
    this.made += 1;
    part.querySelectorAll("[id]").forEach((field) => { field.id = field.id.replace("NEW", this.made); });
    part.querySelectorAll("[for]").forEach((label) => { label.htmlFor = label.htmlFor.replace("NEW", this.made); });
    this.place.append(part);
    return this.place.lastElementChild;
  }
}

function valuesOf(row) {
  return Object.fromEntries(FIELDS.map((name) => [name, row.querySelector(`[name="piece_${name}"]`).value]));
}
