// Drawing a plan on the parcel's grid, by mouse, pen, fingers and keys. Without it the rows of numbers are filled in.

import { distance } from "../drawing/geometry.js";
import { History } from "../drawing/history.js";
import { Canvas } from "./plan-canvas.js";
import { numberOf, snapped } from "./plan-numbers.js";
import { boxCorners, extentOf, freePlace, isBox, isSound, movedBy, withCornerAt } from "./plan-pieces.js";
import { Rows } from "./plan-rows.js";
import { View } from "../drawing/view.js";
import { keeps } from "../kept/kept-store.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const STILL = 6; // screen pixels: less is a tap
const ZOOM = 1.5;

class PlanEditor {
  constructor(root) {
    const { width, depth, unit, square, margin } = root.dataset;
    this.root = root;
    this.form = root.closest("form");
    this.svg = root.querySelector("[data-drawing]");
    Object.assign(this, { size: [Number(width), Number(depth)], unit, square: Number(square), chosen: null, open: null });
    this.canvas = new Canvas(this.svg, this.colours());
    this.rows = new Rows(this.form, unit, (pieces) => this.typed(pieces));
    this.history = new History({ pieces: this.rows.read(), said: "" });
    this.next = 1000;
    this.show();
    root.classList.add("is-live");
    const numbers = this.form.querySelector("[data-numbers]");
    numbers.open = Boolean(numbers.querySelector(".wrong"));
    root.querySelectorAll("[data-tools], [data-zoom]").forEach((part) => { part.hidden = false; });
    const m = Number(margin);
    const bounds = { left: -m, top: -m, width: this.size[0] + 2 * m, height: this.size[1] + 2 * m };
    this.view = new View(this.svg, bounds, Math.max(...this.size) / 400, () => this.show());
    this.listen();
  }

  colours() {
    const chips = [...this.root.querySelectorAll("[name=drawn_zone]")];
    const colour = (chip) => /fill-(\d)/.exec(chip.closest("label").querySelector(".swatch").className)[1];
    return Object.fromEntries(chips.map((chip) => [chip.value, colour(chip)]));
  }

  get pieces() { return this.history.now.pieces; }
  get piece() { return this.pieces.find(({ id }) => id === this.chosen); }
  get step() { return numberOf(this.root.querySelector("[data-step]").value); }
  get zone() { return this.root.querySelector("[name=drawn_zone]:checked").value; }
  get pixel() { return this.view?.scale || this.size[0] / 400; }

  listen() {
    const { svg } = this;
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    ["pointerup", "pointercancel"].forEach((name) => svg.addEventListener(name, (event) => this.up(event)));
    svg.addEventListener("keydown", (event) => this.key(event));
    svg.addEventListener("focusin", (event) => this.focused(event));
    this.root.addEventListener("click", (event) => this.click(event.target.closest("[data-do]")?.dataset.do));
    this.root.addEventListener("change", (event) => event.target.name === "drawn_zone" && this.rezone(event));
    this.form.addEventListener("submit", () => { this.sent = true; });
    this.form.addEventListener("kept:rows", ({ detail }) => this.rows.make(detail("piece_zone")));
    this.form.addEventListener("kept:filled", () => this.typed(this.rows.read()));
    window.addEventListener("beforeunload", (event) => !keeps && !this.sent && this.history.canUndo && event.preventDefault());
  }

  show() {
    this.canvas.show(this.pieces, this.piece, this.pixel);
    this.root.querySelector('[data-do="remove"]').disabled = !this.piece;
    this.root.querySelector('[data-do="undo"]').disabled = !this.history.canUndo && !this.open;
    const corners = this.root.querySelector('[data-do="corners"]');
    corners.setAttribute("aria-pressed", Boolean(this.open));
    corners.textContent = this.open?.length >= 3 ? "Finish the shape" : "Corner by corner";
  }

  say(text) {
    this.root.querySelector("[data-status]").textContent = text;
  }

  // A new state of the plan; what it says is read out.
  change(pieces, said) {
    this.history.push(pieces, said);
    this.write(pieces);
    this.say(said);
    this.show();
  }

  // Into the rows, as if it was typed there.
  write(pieces) {
    this.rows.write(pieces);
    this.form.dispatchEvent(new Event("input", { bubbles: true }));
  }

  typed(pieces) {
    this.chosen = null;
    this.history.push(pieces, "The numbers were changed.");
    this.show();
  }

  reshape(corners, said) {
    if (!this.piece || String(corners) === String(this.piece.corners)) return;
    if (!isSound(corners, this.size)) this.say("That does not work: the shape would cross itself, or leave the parcel.");
    else this.change(this.pieces.map((piece) => (piece.id === this.chosen ? { ...piece, corners } : piece)), said);
    this.show();
  }

  add(corners) {
    if (!isSound(corners, this.size)) return this.say("This is no shape: its sides cross, or it has no land in it.");
    this.next += 1;
    this.chosen = this.next;
    return this.change([...this.pieces, { id: this.next, zone: this.zone, corners }], `${this.zone} is drawn.`);
  }

  choose(id) {
    this.chosen = id;
    const chip = [...this.root.querySelectorAll("[name=drawn_zone]")].find(({ value }) => value === this.piece?.zone);
    if (chip) chip.checked = true;
    this.show();
  }

  rezone() {
    const { piece, zone } = this;
    if (!piece || piece.zone === zone || this.open) return;
    this.chosen = null; // the next piece is of this zone; the drawn one stays as it is
    this.show();
  }

  click(what) {
    if (what === "add") {
      const across = Math.max(this.step, snapped(this.size[0] / 5, this.step));
      this.add(freePlace(this.pieces, across, across, this.step, this.size));
      this.canvas.focus(`piece-${this.chosen}`);
    } else if (what === "corners") this.cornerByCorner();
    else if (what === "undo") this.undo();
    else if (what === "remove") this.remove();
    else if (what === "in") this.view.zoom(ZOOM);
    else if (what === "out") this.view.zoom(1 / ZOOM);
    else if (what === "whole") this.view.showWhole();
  }

  cornerByCorner() {
    if (this.open?.length >= 3) return this.finish();
    this.open = this.open ? null : [];
    this.chosen = null;
    this.canvas.draw([], false, this.pixel);
    this.say(this.open ? "Tap every corner in turn. To finish, tap the first corner again." : "");
    return this.show();
  }

  finish() {
    const corners = this.open;
    this.open = null;
    this.canvas.draw([], false, this.pixel);
    this.add(corners);
    this.show();
  }

  undo() {
    if (this.open) {
      this.open = this.open.length ? this.open.slice(0, -1) : null;
      this.canvas.draw(this.open || [], false, this.pixel);
    } else if (this.history.undo() !== null) {
      this.write(this.pieces);
      this.say("Taken back.");
    }
    this.show();
  }

  remove() {
    if (!this.piece) return;
    const { zone } = this.piece;
    this.change(this.pieces.filter(({ id }) => id !== this.chosen), `${zone} is removed.`);
    this.choose(null);
  }

  place(event) {
    return this.view.place(event).map((at, axis) => Math.min(this.size[axis], Math.max(0, snapped(at, this.step))));
  }

  // One pointer draws or drags; a second one makes both zoom and move the view.
  down(event) {
    if (event.button) return;
    this.svg.setPointerCapture(event.pointerId);
    this.view.begin(event, null);
    if (this.view.pointers.size > 1) return this.letGo();
    const corner = event.target.closest("[data-corner]")?.dataset.corner;
    const after = event.target.closest("[data-after]")?.dataset.after;
    const on = event.target.closest("[data-piece]")?.dataset.piece;
    const from = this.place(event);
    this.drag = { at: [event.clientX, event.clientY], from, corner, after, on, before: this.piece?.corners, moved: false };
    return event.preventDefault();
  }

  move(event) {
    const { drag } = this;
    if (this.view.pointers.size > 1) return this.view.follow(event);
    if (!drag) return null;
    if (distance(drag.at, [event.clientX, event.clientY]) > STILL) drag.moved = true;
    return drag.moved && !this.open ? this.canvas.draw(this.dragged(drag, this.place(event)), true, this.pixel) : null;
  }

  // What the drag makes: a moved corner, a moved piece, or a new rectangle.
  dragged(drag, to) {
    if (drag.corner !== undefined) return withCornerAt(drag.before, Number(drag.corner), to);
    if (drag.after !== undefined) return inserted(drag.before, Number(drag.after), to);
    if (drag.on !== undefined && Number(drag.on) === this.chosen) {
      return movedBy(drag.before, to[0] - drag.from[0], to[1] - drag.from[1], this.size);
    }
    const { left, top, right, bottom } = extentOf([drag.from, to]);
    return boxCorners(left, top, right, bottom);
  }

  up(event) {
    const { drag } = this;
    this.view.end(event);
    this.drag = null;
    if (!drag) return;
    if (!this.open) this.canvas.draw([], true, this.pixel);
    if (event.type === "pointercancel") return;
    if (this.open) this.corner(this.place(event));
    else if (!drag.moved) this.tap(drag);
    else this.dropped(drag, this.dragged(drag, this.place(event)));
  }

  letGo() {
    this.drag = null;
    if (!this.open) this.canvas.draw([], true, this.pixel);
  }

  tap(drag) {
    if (drag.corner !== undefined || drag.after !== undefined) return;
    this.choose(drag.on === undefined ? null : Number(drag.on));
    if (drag.on !== undefined) this.canvas.focus(`piece-${drag.on}`);
  }

  dropped(drag, corners) {
    const isNew = drag.corner === undefined && drag.after === undefined && Number(drag.on) !== this.chosen;
    if (isNew) this.add(corners);
    else this.reshape(corners, `${this.piece.zone} is changed.`);
  }

  corner(place) {
    const first = this.open[0];
    if (this.open.length >= 3 && distance(first, place) < 1e-9) return this.finish();
    if (!this.open.some((corner) => distance(corner, place) < 1e-9)) this.open = [...this.open, place];
    this.canvas.draw(this.open, false, this.pixel);
    return this.show();
  }

  focused(event) {
    const id = event.target.closest("[data-piece]")?.dataset.piece;
    if (id !== undefined && Number(id) !== this.chosen && !this.drag) this.choose(Number(id));
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { corner, after, piece } = event.target.dataset;
    if (this.act(event, { corner, after, piece }) || (["+", "=", "-", "0"].includes(event.key) && this.view.key(event))) {
      event.preventDefault();
    }
  }

  act(event, on) {
    const arrow = ARROWS[event.key];
    if (event.key === "Escape" && this.open) return this.cancel();
    if (!this.piece) return false;
    if (arrow) return this.arrow(arrow.map((part) => part * this.step), on, event.shiftKey);
    if (["Delete", "Backspace"].includes(event.key)) return this.takeAway(on);
    if (["Enter", " "].includes(event.key)) return this.enter(on);
    return false;
  }

  arrow([across, down], on, larger) {
    const { corners, zone } = this.piece;
    if (on.corner !== undefined) {
      const [x, y] = corners[on.corner];
      this.reshape(withCornerAt(corners, Number(on.corner), [x + across, y + down]), `Corner ${Number(on.corner) + 1} is moved.`);
    } else if (on.piece !== undefined && larger && isBox(corners)) {
      const { left, top, right, bottom } = extentOf(corners);
      this.reshape(boxCorners(left, top, right + across, bottom + down), `${zone} has another size.`);
    } else if (on.piece !== undefined) this.reshape(movedBy(corners, across, down, this.size), `${zone} is moved.`);
    else return false;
    return true;
  }

  takeAway(on) {
    if (on.corner === undefined) this.remove();
    else if (this.piece.corners.length > 3) {
      this.reshape(this.piece.corners.filter((_, at) => at !== Number(on.corner)), "The corner is removed.");
    } else this.say("A shape has three corners at least.");
    return true;
  }

  enter(on) {
    if (on.after !== undefined) {
      const [at, { corners }] = [Number(on.after), this.piece];
      const [a, b] = [corners[at], corners[(at + 1) % corners.length]];
      this.change(this.pieces.map((piece) => (piece.id === this.chosen
        ? { ...piece, corners: inserted(corners, at, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]) } : piece)), "A new corner.");
      this.canvas.focus(`corner-${at + 1}`);
    } else if (on.piece !== undefined) this.canvas.focus("corner-0");
    return true;
  }

  cancel() {
    this.open = null;
    this.canvas.draw([], false, this.pixel);
    this.show();
    return true;
  }
}

const inserted = (corners, after, place) => [...corners.slice(0, after + 1), place, ...corners.slice(after + 1)];

document.querySelectorAll("[data-plan]").forEach((root) => new PlanEditor(root));
