// The outline editor: joins the picture, the changes, the keys and the buttons of _outline_editor.html.

import { areaOf, distanceToRing, isInside } from "./geometry.js";
import { Canvas, pathOf } from "./outline-canvas.js";
import { Drawing } from "./outline-drawing.js";
import { send, swap } from "./outline-saving.js";
import {
  History, crossingOf, drawnPiece, editsOf, isTooSmall, moved, piecesOf, ringsOf, withCorner, withoutCorner, withoutHole,
} from "./outline-state.js";
import { View } from "./view.js";
import { Words } from "./outline-words.js";

const NEAR = 14; // screen pixels from a line that still choose its outline
const PAUSE = 350; // milliseconds without a key before the new place is said
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

class Editor {
  constructor(root, kept = {}) {
    this.root = root;
    this.model = JSON.parse(root.dataset.model);
    const { picture } = this.model;
    this.words = new Words(this.model, this.model.framed ? [0, 0] : [picture.left, picture.top]);
    this.history = new History({ pieces: piecesOf(this.model), said: "" });
    this.nextId = this.model.pieces.length;
    this.svg = this.part("picture");
    this.canvas = new Canvas(this.svg, this.part("loupe"), picture, this.words);
    this.drawing = new Drawing(this.svg, this.words, {
      told: (text, when) => this.say(text, when), done: (corners) => this.finishDrawing(corners), changed: () => this.render(),
    });
    this.view = new View(this.svg, picture, picture.width / picture.pixels, () => this.render());
    if (kept.view) Object.assign(this.view, kept.view);
    this.listen();
    this.fillLists();
    this.part("steps").textContent = this.words.steps;
    root.querySelector("[data-app]").hidden = false;
    this.view.resize();
    this.choose(this.pieces.find(({ zone }) => zone === kept.zone) || null);
  }

  part(name) {
    return this.root.querySelector(`[data-part="${name}"]`);
  }

  get pieces() {
    return (this.draft || this.history.now).pieces;
  }

  get chosen() {
    return this.pieces.find(({ id }) => id === this.chosenId) || null;
  }

  get isDrawing() {
    return !this.part("draw-panel").hidden;
  }

  get edits() {
    return editsOf(this.history.first.pieces, this.history.now.pieces, this.model.mm);
  }

  // ---- what is shown

  render() {
    if (!this.view || !this.view.scale) return;
    const { scale } = this.view;
    this.canvas.draw(this.pieces, this.isDrawing ? null : this.chosen, scale);
    if (this.isDrawing) this.drawing.draw(scale);
    this.showPanel();
  }

  showPanel() {
    const { chosen } = this;
    this.part("piece-panel").hidden = !chosen || this.isDrawing;
    this.part("choose-panel").hidden = this.isDrawing;
    this.part("area").hidden = this.part("piece-panel").hidden;
    if (chosen) this.showArea(chosen);
    const able = { undo: this.history.canUndo, redo: this.history.canRedo, save: this.history.canUndo, in: true, out: !this.view.isWhole };
    for (const [name, can] of Object.entries({ ...able, whole: !this.view.isWhole })) {
      this.root.querySelector(`[data-do="${name}"]`).setAttribute("aria-disabled", String(!can || Boolean(this.isDrawing && name === "save")));
    }
    const count = this.edits.length;
    this.part("count").textContent = count ? `${count} ${count === 1 ? "outline" : "outlines"} changed, not saved yet.` : "Nothing changed yet.";
  }

  showArea(piece) {
    const before = this.history.first.pieces.find(({ id }) => id === piece.id);
    const now = this.words.area(areaOf(piece));
    const was = before && before.outline.length ? this.words.area(areaOf(before)) : "";
    const text = !was || was === now ? `Area along the tape’s middle: ${now}.` : `Area along the tape’s middle: ${now}, before ${was}.`;
    this.part("area").textContent = piece.outline.length ? text : "It was not found in the photo: draw its outline.";
    this.part("curved").hidden = !piece.curved;
    this.root.querySelector('[data-do="remove-corner"]').hidden = piece.curved;
  }

  fillLists() {
    const option = (value, text) => Object.assign(document.createElement("option"), { value, textContent: text });
    const names = this.pieces.map((piece) => option(piece.id, this.words.piece(piece, this.pieces)));
    this.part("choose").replaceChildren(option("", "Choose an outline"), ...names);
    this.part("choose").value = this.chosen ? String(this.chosen.id) : "";
    for (const list of ["zone", "draw-zone"]) {
      const was = this.part(list).value;
      this.part(list).replaceChildren(...this.model.zones.map((zone) => option(zone, zone)));
      if (was) this.part(list).value = was;
    }
    if (this.chosen) this.part("zone").value = this.chosen.zone;
  }

  choose(piece, aloud = false) {
    this.chosenId = piece ? piece.id : null;
    this.fillLists();
    this.render();
    this.canvas.hideLoupe();
    if (piece && aloud) {
      const corners = ringsOf(piece).flat().length;
      const what = piece.curved ? "a curve" : `${corners} corners`;
      this.say(`${this.words.piece(piece, this.pieces)} chosen: ${what}, ${this.words.area(areaOf(piece))}.`);
    }
  }

  // Say it in the status line; "later" waits until keys rest, so that only the last place is read out.
  say(text, when = "now") {
    clearTimeout(this.saying);
    const tell = () => { this.part("status").textContent = text; };
    if (when === "later") this.saying = setTimeout(tell, PAUSE);
    else tell();
  }

  // ---- changes

  // Replace the chosen piece; refused, with a word, where its sides would cross or nothing would be left.
  change(made, said) {
    const problem = crossingOf(made) ? "its sides would cross" : isTooSmall(made) ? "it would be too small" : "";
    if (problem) {
      this.say(`Not changed: ${problem}.`);
      return false;
    }
    const pieces = this.history.now.pieces.map((piece) => (piece.id === made.id ? made : piece));
    this.commit(pieces, said);
    return true;
  }

  commit(pieces, said) {
    this.draft = null;
    this.history.push(pieces, said);
    this.fillLists();
    this.render();
  }

  // Keys that follow one another move a corner in one change, so that undo takes back the whole way.
  nudge(handle, event) {
    const by = ARROWS[event.key];
    const step = event.shiftKey ? this.words.step.coarse : this.words.step.fine;
    const place = [handle.place[0] + by[0] * step, handle.place[1] + by[1] * step];
    const said = `move of ${this.cornerName(handle)}`;
    if (!this.inPicture(place)) return this.say("Not moved: here the picture ends.");
    if (!this.change(moved(this.chosen, handle.ringAt, handle.at, place), said)) return undefined;
    this.history.mergeAlike();
    this.view.reveal(place);
    this.magnify(place);
    return this.say(`${handle.label}. ${this.words.area(areaOf(this.chosen))}.`, "later");
  }

  cornerName({ ringAt, number }) {
    return this.words.corner(this.words.piece(this.chosen, this.pieces), ringAt, number, this.chosen.curved);
  }

  inPicture([x, y]) {
    const { left, top, width, height } = this.model.picture;
    return x >= left && y >= top && x <= left + width && y <= top + height;
  }

  removeCorner(handle) {
    const { ringAt, at } = handle;
    const ring = ringsOf(this.chosen)[ringAt];
    if (this.chosen.curved) return this.say("A curve’s points cannot be removed. Remove the outline and draw it anew.");
    if (ring.length <= 3 && ringAt === 0) return this.say("An outline keeps at least three corners. Remove the whole outline instead.");
    const name = this.cornerName(handle);
    const made = ring.length <= 3 ? withoutHole(this.chosen, ringAt) : withoutCorner(this.chosen, ringAt, at);
    if (!this.change(made, `removal of ${name}`)) return undefined;
    this.canvas.focusCorner(ring.length <= 3 ? 0 : ringAt, Math.max(0, at - 1));
    return this.say(ring.length <= 3 ? `Hole ${ringAt} removed.` : `${name} removed.`);
  }

  addCorner(side) {
    const place = side.place;
    const made = withCorner(this.chosen, side.ringAt, side.at, place);
    if (!this.change(made, "new corner")) return;
    this.canvas.focusCorner(side.ringAt, side.at + 1);
    this.say(`Corner ${side.at + 2} added, ${this.words.place(place)}. Arrow keys move it.`);
  }

  removePiece() {
    const { chosen } = this;
    if (!chosen) return;
    const name = this.words.piece(chosen, this.pieces);
    const pieces = this.pieces.filter((piece) => piece !== chosen);
    this.chosenId = null;
    this.commit(pieces, `removal of ${name}`);
    this.part("choose").focus();
    this.say(`${name} removed. Undo brings it back.`);
  }

  changeZone(zone) {
    const { chosen } = this;
    const name = this.words.piece(chosen, this.pieces);
    const pieces = this.pieces.map((piece) => (piece === chosen ? { ...piece, zone } : piece));
    this.commit(pieces, `new zone of ${name}`);
    this.say(`${name} is now an outline of ${zone}.`);
  }

  travel(way) {
    const said = this.history[way]();
    if (said === null) return;
    if (!this.chosen) this.chosenId = null;
    this.fillLists();
    this.render();
    this.canvas.hideLoupe();
    this.say(way === "undo" ? `Taken back: ${said}.` : `Done again: ${said}.`);
  }

  // ---- drawing

  startDrawing() {
    const found = new Set(this.pieces.filter(({ outline }) => outline.length).map(({ zone }) => zone));
    const missing = [this.chosen?.zone, ...this.model.zones].find((zone) => zone && !found.has(zone));
    if (missing) this.part("draw-zone").value = missing;
    this.choose(null);
    this.part("draw-panel").hidden = false;
    this.svg.classList.add("is-drawing");
    this.drawing.begin([...this.view.centre]);
    this.svg.focus({ preventScroll: true });
    this.svg.scrollIntoView({ block: "nearest" });
    this.say("Drawing. Choose the zone, then set corner after corner in the middle of its tape.");
  }

  stopDrawing() {
    this.drawing.end();
    this.part("draw-panel").hidden = true;
    this.svg.classList.remove("is-drawing");
    this.canvas.hideLoupe();
    this.render();
  }

  finishDrawing(corners) {
    const zone = this.part("draw-zone").value;
    const piece = drawnPiece(this.nextId, zone, corners);
    this.nextId += 1;
    this.stopDrawing();
    this.chosenId = piece.id;
    this.commit([...this.pieces, piece], `outline of ${zone}`);
    this.canvas.focusCorner(0, 0);
    this.say(`An outline of ${zone} with ${corners.length} corners drawn, ${this.words.area(areaOf(piece))}.`);
  }

  magnify(place) {
    const d = this.isDrawing ? this.drawing.path : this.chosen ? pathOf(this.chosen) : "";
    this.canvas.magnify(place, d, this.view.scale, this.view.onScreen(place), this.view.size[0]);
  }

  // ---- events

  listen() {
    const on = (target, name, act) => target.addEventListener(name, act);
    on(this.svg, "pointerdown", (event) => this.pointerDown(event));
    on(this.svg, "pointermove", (event) => this.pointerMove(event));
    for (const name of ["pointerup", "pointercancel"]) on(this.svg, name, (event) => this.pointerUp(event));
    on(this.svg, "keydown", (event) => this.key(event));
    on(this.svg, "focusin", (event) => this.focused(event));
    on(this.svg, "focusout", () => this.canvas.hideLoupe());
    on(this.root, "keydown", (event) => this.shortcut(event));
    on(this.root, "click", (event) => this.click(event));
    on(this.part("choose"), "change", ({ target }) => this.choose(this.pieces.find(({ id }) => String(id) === target.value), true));
    on(this.part("zone"), "change", ({ target }) => this.changeZone(target.value));
    this.leaving = (event) => { if (this.history.canUndo && this.edits.length) event.preventDefault(); };
    on(window, "beforeunload", this.leaving);
  }

  click(event) {
    const button = event.target.closest("[data-do]");
    if (!button || button.getAttribute("aria-disabled") === "true") return;
    const acts = {
      undo: () => this.travel("undo"), redo: () => this.travel("redo"),
      in: () => this.view.zoom(1.6, this.zoomPoint()), out: () => this.view.zoom(1 / 1.6), whole: () => this.view.showWhole(),
      draw: () => this.startDrawing(), "remove-piece": () => this.removePiece(), "remove-corner": () => this.removeLast(),
      set: () => this.drawing.set(this.drawing.aim), back: () => this.drawing.back(), close: () => this.drawing.close(),
      cancel: () => this.cancelDrawing(), save: () => this.save(),
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
    const { last } = this;
    return last && this.canvas.handles.find(({ ringAt, at }) => ringAt === last.ringAt && at === last.at);
  }

  removeLast() {
    const handle = this.lastHandle();
    if (handle) this.removeCorner(handle);
    else this.say("Choose a corner first: tap it, or go to it with the Tab key.");
  }

  cancelDrawing() {
    this.stopDrawing();
    this.root.querySelector('[data-do="draw"]').focus();
    this.say("Drawing given up.");
  }

  pointerDown(event) {
    if (event.button > 0 || this.dragging) return;
    this.svg.setPointerCapture(event.pointerId);
    const place = this.view.place(event);
    const grip = this.isDrawing || this.view.pointers.size ? null : this.canvas.grip(place, this.view.scale);
    if (grip) {
      event.preventDefault();
      this.startDragging(grip, place, event);
    } else this.view.begin(event, (at) => this.tap(at));
  }

  startDragging({ handle, kind }, place, event) {
    const isNew = kind === "middle";
    const base = isNew ? withCorner(this.chosen, handle.ringAt, handle.at, handle.place) : this.chosen;
    const at = isNew ? handle.at + 1 : handle.at;
    const start = [...ringsOf(base)[handle.ringAt][at]];
    this.dragging = { pointer: event.pointerId, base, ringAt: handle.ringAt, at, isNew, start, from: place, moved: false };
    this.draft = { pieces: this.history.now.pieces.map((piece) => (piece.id === base.id ? base : piece)) };
    this.last = { ringAt: handle.ringAt, at };
    this.render();
    this.canvas.focusCorner(handle.ringAt, at);
    this.magnify(start);
  }

  pointerMove(event) {
    const drag = this.dragging;
    if (drag && drag.pointer === event.pointerId) this.drag(drag, this.view.place(event));
    else if (this.view.pointers.size) this.panned(event);
    else if (this.isDrawing && event.pointerType === "mouse") {
      this.drawing.move(this.view.place(event));
      this.magnify(this.drawing.aim);
    }
  }

  // While drawing, the picture is moved under the crosshair, which stays in the middle.
  panned(event) {
    this.view.follow(event);
    if (this.isDrawing && !this.view.tapped) this.drawing.move([...this.view.centre]);
  }

  // The corner keeps its distance from the finger, which would hide it otherwise.
  drag(drag, now) {
    const place = [0, 1].map((axis) => drag.start[axis] + now[axis] - drag.from[axis]);
    const { left, top, width, height } = this.model.picture;
    const kept = [Math.min(left + width, Math.max(left, place[0])), Math.min(top + height, Math.max(top, place[1]))];
    drag.moved = true;
    const made = moved(drag.base, drag.ringAt, drag.at, kept);
    this.draft = { pieces: this.history.now.pieces.map((piece) => (piece.id === made.id ? made : piece)) };
    this.render();
    this.magnify(kept);
    if (crossingOf(made)) this.say("The sides cross here: if you let go now, the corner goes back.");
  }

  pointerUp(event) {
    const drag = this.dragging;
    if (!drag || drag.pointer !== event.pointerId) {
      this.view.end(event);
      return;
    }
    const made = this.chosen;
    this.dragging = null;
    this.draft = null;
    this.canvas.hideLoupe();
    if (event.type === "pointerup" && (drag.moved || drag.isNew)) this.drop(drag, made);
    this.render();
    this.canvas.focusCorner(drag.ringAt, drag.at);
    this.canvas.hideLoupe();
  }

  letGo() {
    const { ringAt, at, isNew } = this.dragging;
    this.dragging = null;
    this.draft = null;
    this.render();
    this.canvas.focusCorner(ringAt, isNew ? at - 1 : at);
    this.canvas.hideLoupe();
    this.say("Left where it was.");
  }

  drop(drag, made) {
    const number = this.canvas.handles.find(({ ringAt, at }) => ringAt === drag.ringAt && at === drag.at)?.number;
    const name = this.cornerName({ ringAt: drag.ringAt, number });
    if (this.change(made, drag.isNew ? "new corner" : `move of ${name}`)) {
      const place = ringsOf(this.chosen)[drag.ringAt][drag.at];
      this.say(`${name} ${drag.isNew ? "added" : "moved"}: ${this.words.place(place)}. ${this.words.area(areaOf(this.chosen))}.`);
    }
  }

  tap(place) {
    if (this.isDrawing) {
      this.drawing.set(place);
      return;
    }
    const reach = NEAR * this.view.scale;
    const there = this.pieces.filter(({ outline }) => outline.length && (isInside(place, outline) || distanceToRing(place, outline) < reach));
    const smallest = there.sort((a, b) => areaOf(a) - areaOf(b))[0];
    if (smallest !== this.chosen) this.choose(smallest || null, true);
  }

  focused(event) {
    const handle = this.canvas.handleOf(event.target);
    if (!handle) return;
    this.last = { ringAt: handle.ringAt, at: handle.at };
    if (this.dragging) return;
    this.view.reveal(handle.place);
    if (event.target.matches(":focus-visible")) this.magnify(handle.place);
  }

  key(event) {
    const handle = this.canvas.handleOf(event.target);
    const side = this.canvas.middleOf(event.target);
    if (event.ctrlKey || event.metaKey || event.altKey || event.key === "Tab") return;
    let used = true;
    if (handle && ARROWS[event.key]) this.nudge(handle, event);
    else if (handle && (event.key === "Delete" || event.key === "Backspace")) this.removeCorner(handle);
    else if (handle && event.key === "Insert") this.addCorner(this.canvas.middles.find(({ ringAt, at }) => ringAt === handle.ringAt && at === handle.at));
    else if (side && (event.key === "Enter" || event.key === " ")) this.addCorner(side);
    else if (this.isDrawing && this.drawing.key(event)) this.keepAimInSight();
    else used = this.view.key(event);
    if (used) event.preventDefault();
  }

  keepAimInSight() {
    if (!this.isDrawing) return;
    this.view.reveal(this.drawing.aim);
    this.magnify(this.drawing.aim);
  }

  shortcut(event) {
    const key = event.key.toLowerCase();
    const typing = event.target.matches("textarea, input");
    if (key === "escape" && this.dragging) this.letGo();
    else if (key === "escape" && this.isDrawing) this.cancelDrawing();
    else if ((event.ctrlKey || event.metaKey) && !typing && key === "z") this.travel(event.shiftKey ? "redo" : "undo");
    else if ((event.ctrlKey || event.metaKey) && !typing && key === "y") this.travel("redo");
    else return;
    event.preventDefault();
  }

  // ---- saving

  async save() {
    const { edits } = this;
    if (!edits.length || this.isSaving) return;
    this.isSaving = true;
    this.say("Saving and measuring again …");
    const answer = await send(this.root.dataset.post, this.root.dataset.csrf, { base: this.model.base, edits });
    this.isSaving = false;
    if (answer.html === undefined) this.refused(answer.lines);
    else this.replaced(answer.html);
  }

  refused(lines) {
    const paragraphs = lines.map((line) => Object.assign(document.createElement("p"), { textContent: line }));
    this.part("error").replaceChildren(...paragraphs);
    this.part("error").hidden = false;
    this.say("Not saved.");
  }

  replaced(html) {
    window.removeEventListener("beforeunload", this.leaving);
    const { centre, scale, size } = this.view;
    const kept = { view: { centre, scale, size }, zone: this.chosen ? this.chosen.zone : null };
    const made = swap(document.querySelector(this.root.dataset.swap) || this.root, html);
    const roots = made.flatMap((element) => [element, ...element.querySelectorAll("*")]).filter((e) => e.matches("[data-outline-editor]"));
    const [editor] = roots.map((root) => new Editor(root, kept));
    if (!editor) return;
    editor.say("Saved. Measurements and verdicts are those of the outlines as they are now.");
    editor.part("choose").focus({ preventScroll: true });
  }
}

for (const root of document.querySelectorAll("[data-outline-editor]")) new Editor(root);
