// The outline editor: joins the picture, the changes, the keys and the buttons of _outline_editor.html.

import { History } from "../drawing/history.js";
import { Canvas, pathOf } from "./outline-canvas.js";
import { Drawing } from "./outline-drawing.js";
import { Gestures } from "./outline-gestures.js";
import { Keys } from "./outline-keys.js";
import { LineRepair } from "./line-repair.js";
import { isLine } from "./line-state.js";
import { Panel } from "./outline-panel.js";
import { send, swap } from "./outline-saving.js";
import {
  crossingOf, drawnPiece, editsOf, isTooSmall, moved, piecesOf, ringsOf, withCorner, withoutCorner, withoutHole,
} from "./outline-state.js";
import { View } from "../drawing/view.js";
import { Words } from "./outline-words.js";

class Editor {
  // kept: {view, zone}: what an editor that this one takes the place of showed.
  constructor(root, kept = {}) {
    this.root = root;
    this.model = JSON.parse(root.dataset.model);
    const { picture } = this.model;
    this.words = new Words(this.model, this.model.framed ? [0, 0] : [picture.left, picture.top]);
    this.history = new History({ pieces: piecesOf(this.model), said: "" });
    this.nextId = this.model.pieces.length;
    this.panel = new Panel(root, this.words);
    this.svg = this.panel.part("picture");
    this.canvas = new Canvas(this.svg, this.panel.part("loupe"), picture, this.words);
    this.drawing = new Drawing(this.svg, this.words, {
      told: (text, when) => this.say(text, when), done: (corners, closed) => this.finishDrawing(corners, closed), changed: () => this.render(),
    });
    this.view = new View(this.svg, picture, picture.width / picture.pixels, () => this.render());
    this.gestures = new Gestures(this);
    this.lines = new LineRepair(this);
    new Keys(this);
    if (kept.view) Object.assign(this.view, kept.view);
    this.listen();
    root.querySelector("[data-app]").hidden = false;
    this.view.resize();
    this.choose(this.pieces.find(({ zone }) => zone === kept.zone) || null);
  }

  get pieces() {
    return (this.draft || this.history.now).pieces;
  }

  get chosen() {
    return this.pieces.find(({ id }) => id === this.chosenId) || null;
  }

  get edits() {
    return editsOf(this.history.first.pieces, this.history.now.pieces, this.model.mm);
  }

  say(text, when) {
    this.panel.say(text, when);
  }

  // ---- what is shown

  render() {
    if (!this.view || !this.view.scale) return;
    this.canvas.draw(this.pieces, this.isDrawing ? null : this.chosen, this.view.scale);
    if (this.isDrawing) this.drawing.draw(this.view.scale);
    const { canUndo, canRedo, first } = this.history;
    const isWhole = this.view.isWhole;
    const edits = this.edits.length;
    this.panel.show({
      chosen: this.chosen, before: first.pieces.find(({ id }) => id === this.chosenId), others: this.lines.joinable,
      drawing: Boolean(this.isDrawing), edits,
      able: { undo: canUndo, redo: canRedo, out: !isWhole, whole: !isWhole, save: edits > 0 && !this.isDrawing },
    });
  }

  choose(piece, aloud = false) {
    this.chosenId = piece ? piece.id : null;
    this.refresh();
    if (!piece || !aloud) return;
    const points = isLine(piece) ? `a line with ${piece.knots.length} points` : `${ringsOf(piece).flat().length} corners`;
    const what = piece.curved ? "a curve" : points;
    this.say(`${this.words.piece(piece, this.pieces)} chosen: ${what}, ${this.words.size(piece)}.`);
  }

  refresh() {
    this.panel.fill(this.pieces, this.chosen, this.model, this.lines.joinable);
    this.render();
    this.canvas.hideLoupe();
  }

  // Show a piece in a shape that is not kept yet; null ends that.
  sketch(piece) {
    const { pieces } = this.history.now;
    this.draft = piece && { pieces: pieces.map((other) => (other.id === piece.id ? piece : other)) };
    this.render();
  }

  magnify(place) {
    const d = this.isDrawing ? this.drawing.path : this.chosen ? pathOf(this.chosen) : "";
    this.canvas.magnify(place, d, this.view.scale, this.view.onScreen(place), this.view.size[0]);
  }

  // ---- changes

  // Replace the chosen piece; refused, with a word, where its sides would cross or nothing would be left.
  change(made, said) {
    const small = isLine(made) ? "it would be too short" : "it would be too small";
    const problem = crossingOf(made) ? "its sides would cross" : isTooSmall(made) ? small : "";
    if (problem) this.say(`Not changed: ${problem}.`);
    else this.commit(this.history.now.pieces.map((piece) => (piece.id === made.id ? made : piece)), said);
    return !problem;
  }

  commit(pieces, said) {
    this.draft = null;
    this.history.push(pieces, said);
    this.refresh();
  }

  // Keys that follow one another move a corner in one change, so that undo takes back the whole way.
  nudge(handle, direction, coarse) {
    const step = coarse ? this.words.step.coarse : this.words.step.fine;
    const place = handle.place.map((at, axis) => at + direction[axis] * step);
    if (!this.inPicture(place)) return this.say("Not moved: here the picture ends.");
    const made = moved(this.chosen, handle.ringAt, handle.at, place);
    if (!this.change(made, `move of ${this.cornerName(handle)}`)) return undefined;
    this.history.mergeAlike();
    this.view.reveal(place);
    this.magnify(place);
    return this.say(`${handle.label}. ${this.words.size(this.chosen)}.`, "later");
  }

  // A drag that has ended; drag: {ringAt, at, isNew}.
  drop({ ringAt, at, isNew }, made) {
    const name = this.cornerName({ ringAt, number: this.canvas.numberOf(ringAt, at, made) });
    if (!this.change(made, isNew ? `new ${this.words.handle(made).toLowerCase()}` : `move of ${name}`)) return;
    const place = this.words.place(ringsOf(this.chosen)[ringAt][at]);
    this.say(`${name} ${isNew ? "added" : "moved"}: ${place}. ${this.words.size(this.chosen)}.`);
  }

  cornerName({ ringAt, number }) {
    return this.words.corner(this.words.piece(this.chosen, this.pieces), ringAt, number, this.chosen);
  }

  inPicture([x, y]) {
    const { left, top, width, height } = this.model.picture;
    return x >= left && y >= top && x <= left + width && y <= top + height;
  }

  removeCorner(handle) {
    const { ringAt, at } = handle;
    if (isLine(this.chosen)) return this.lines.removePoint(handle);
    const isLast = ringsOf(this.chosen)[ringAt].length <= 3;
    if (this.chosen.curved) return this.say("A curve’s points cannot be removed. Remove the outline and draw it anew.");
    if (isLast && ringAt === 0) return this.say("An outline keeps at least three corners. Remove the whole outline instead.");
    const name = isLast ? `Hole ${ringAt}` : this.cornerName(handle);
    const made = isLast ? withoutHole(this.chosen, ringAt) : withoutCorner(this.chosen, ringAt, at);
    if (!this.change(made, `removal of ${name}`)) return undefined;
    this.canvas.focusCorner(isLast ? 0 : ringAt, Math.max(0, at - 1));
    return this.say(`${name} removed.`);
  }

  removeLast() {
    const handle = this.lastHandle();
    const what = this.words.handle(this.chosen).toLowerCase();
    if (handle) this.removeCorner(handle);
    else this.say(`Choose a ${what} first: tap it, or go to it with the Tab key.`);
  }

  addCorner({ ringAt, at, place }) {
    const what = this.words.handle(this.chosen);
    const made = withCorner(this.chosen, ringAt, at, place);
    if (!this.change(made.piece, `new ${what.toLowerCase()}`)) return;
    this.canvas.focusCorner(ringAt, made.at);
    this.say(`${what} ${this.canvas.numberOf(ringAt, made.at, this.chosen)} added, ${this.words.place(place)}. Arrow keys move it.`);
  }

  removePiece() {
    const { chosen } = this;
    const name = this.words.piece(chosen, this.pieces);
    this.chosenId = null;
    this.commit(this.pieces.filter((piece) => piece !== chosen), `removal of ${name}`);
    this.panel.part("choose").focus();
    this.say(`${name} removed. Undo brings it back.`);
  }

  // What could not be measured counts once somebody says that its outline is right.
  confirm() {
    const name = this.words.piece(this.chosen, this.pieces);
    if (!this.change({ ...this.chosen, status: "measured" }, `word that ${name} is right`)) return;
    this.panel.part("choose").focus();
    this.say(`${name} is taken as it is. It counts as placed by hand.`);
  }

  changeZone(zone) {
    const { chosen } = this;
    const name = this.words.piece(chosen, this.pieces);
    this.commit(this.pieces.map((piece) => (piece === chosen ? { ...piece, zone } : piece)), `new zone of ${name}`);
    this.say(`${name} is now ${isLine(chosen) ? "a piece" : "an outline"} of ${zone}.`);
  }

  travel(way) {
    const said = this.gestures.isDragging ? null : this.history[way]();
    if (said === null) return;
    this.refresh();
    this.say(way === "undo" ? `Taken back: ${said}.` : `Done again: ${said}.`);
  }

  // ---- drawing

  startDrawing(line = false) {
    const found = new Set(this.pieces.filter(({ outline }) => outline.length).map(({ zone }) => zone));
    const names = line ? this.model.lines : this.model.zones;
    const missing = [this.chosen?.zone, ...names].find((name) => names.includes(name) && !found.has(name));
    this.isDrawing = true;
    this.choose(null);
    this.panel.showDrawing(names, line);
    if (missing) this.panel.part("draw-zone").value = missing;
    if (line) this.lines.fillWidth();
    this.svg.classList.add("is-drawing");
    this.drawing.begin([...this.view.centre], line);
    this.svg.focus({ preventScroll: true });
    this.svg.scrollIntoView({ block: "nearest" });
    const what = line ? "line, then set point after point along its middle" : "zone, then set corner after corner in the middle of its tape";
    this.say(`Drawing. Choose the ${what}.`);
  }

  stopDrawing() {
    this.isDrawing = false;
    this.drawing.end();
    this.svg.classList.remove("is-drawing");
    this.canvas.hideLoupe();
    this.render();
  }

  cancelDrawing() {
    this.stopDrawing();
    this.panel.button(this.drawing.isLine ? "draw-line" : "draw").focus();
    this.say("Drawing given up.");
  }

  finishDrawing(corners, closed) {
    const zone = this.panel.part("draw-zone").value;
    const { isLine: line } = this.drawing;
    const piece = line ? this.lines.drawn(zone, corners, closed) : drawnPiece(this.nextId, zone, corners);
    if (!piece) return;
    this.nextId += 1;
    this.stopDrawing();
    this.chosenId = piece.id;
    const what = line ? `A piece of ${zone}` : `An outline of ${zone}`;
    this.commit([...this.pieces, piece], line ? `piece of ${zone}` : `outline of ${zone}`);
    this.canvas.focusCorner(0, 0);
    this.say(`${what} with ${corners.length} ${this.words.handle(piece).toLowerCase()}s drawn, ${this.words.size(piece)}.`);
  }

  // ---- buttons and lists

  listen() {
    const on = (target, name, act) => target.addEventListener(name, act);
    on(this.svg, "focusin", (event) => this.focused(event));
    on(this.svg, "focusout", () => this.canvas.hideLoupe());
    on(this.root, "click", (event) => this.click(event));
    const chosen = (value) => this.pieces.find(({ id }) => String(id) === value) || null;
    on(this.panel.part("choose"), "change", ({ target }) => this.choose(chosen(target.value), true));
    on(this.panel.part("zone"), "change", ({ target }) => this.changeZone(target.value));
    this.leaving = (event) => { if (this.edits.length) event.preventDefault(); };
    on(window, "beforeunload", this.leaving);
    this.sending = (event) => this.keepFrom(event);
    window.addEventListener("submit", this.sending, true);
  }

  // Another form of the page brings a new page, without the changes that are not saved: they go first.
  keepFrom(event) {
    if (!this.edits.length) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    this.root.scrollIntoView({ block: "nearest" });
    this.root.querySelector("[data-do=save]").focus();
    this.say("Not sent yet: save your changes to the outlines first, or undo them.");
  }

  click(event) {
    const button = event.target.closest("[data-do]");
    if (!button || button.getAttribute("aria-disabled") === "true") return;
    const acts = {
      undo: () => this.travel("undo"), redo: () => this.travel("redo"),
      in: () => this.view.zoom(1.6, this.zoomPoint()), out: () => this.view.zoom(1 / 1.6), whole: () => this.view.showWhole(),
      draw: () => this.startDrawing(), "draw-line": () => this.startDrawing(true), join: () => this.lines.join(), "remove-piece": () => this.removePiece(), "remove-corner": () => this.removeLast(),
      set: () => this.drawing.set(this.drawing.aim), back: () => this.drawing.back(), close: () => this.drawing.close(),
      cancel: () => this.cancelDrawing(), confirm: () => this.confirm(), save: () => this.save(),
    };
    acts[button.dataset.do]();
  }

  // Zooming in by button goes to the corner that was worked on, where there is one in sight.
  zoomPoint() {
    const handle = this.lastHandle();
    const [x, y] = handle ? this.view.onScreen(handle.place) : [-1, -1];
    const inSight = x >= 0 && y >= 0 && x <= this.view.size[0] && y <= this.view.size[1];
    return inSight ? handle.place : this.view.centre;
  }

  lastHandle() {
    return this.canvas.handles.find(({ ringAt, at }) => ringAt === this.last?.ringAt && at === this.last?.at);
  }

  focused(event) {
    const handle = this.canvas.handleOf(event.target);
    if (!handle) return;
    this.last = { ringAt: handle.ringAt, at: handle.at };
    if (this.gestures.isDragging) return;
    this.view.reveal(handle.place);
    if (event.target.matches(":focus-visible")) this.magnify(handle.place);
  }

  // ---- saving

  async save() {
    if (this.isSaving) return;
    this.isSaving = true;
    this.say("Saving and measuring again …");
    const answer = await send(this.root.dataset.post, { base: this.model.base, edits: this.edits });
    this.isSaving = false;
    if (answer.html !== undefined) this.replaced(answer.html);
    else {
      this.panel.refuse(answer.lines);
      this.say("Not saved.");
    }
  }

  replaced(html) {
    window.removeEventListener("beforeunload", this.leaving);
    window.removeEventListener("submit", this.sending, true);
    const { centre, scale, size } = this.view;
    const kept = { view: { centre, scale, size }, zone: this.chosen?.zone };
    const made = swap(document.querySelector(this.root.dataset.swap) || this.root, html);
    const [editor] = editorsIn(made).map((root) => new Editor(root, kept));
    if (!editor) return;
    editor.say(["Saved.", ...this.words.verdicts(this.model.verdicts, editor.model.verdicts)].join(" "));
    editor.panel.part("choose").focus({ preventScroll: true });
  }
}

const editorsIn = (elements) =>
  elements.flatMap((element) => [element, ...element.querySelectorAll("*")]).filter((element) => element.matches("[data-outline-editor]"));

for (const root of editorsIn([document.body])) new Editor(root);
