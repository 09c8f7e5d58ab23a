// Mouse, fingers and pens on the editor's picture: dragging corners, tapping outlines, moving the view.

import { distanceToRing, isInside } from "../drawing/geometry.js";
import { distanceToLine, isLine } from "./line-state.js";
import { crossingOf, moved, ringsOf, sizeOf, withCorner } from "./outline-state.js";

const NEAR = 14; // screen pixels from a line that still choose its outline

export class Gestures {
  constructor(editor) {
    this.editor = editor;
    this.drag = null;
    const { svg } = editor;
    svg.addEventListener("pointerdown", (event) => this.down(event));
    svg.addEventListener("pointermove", (event) => this.move(event));
    for (const name of ["pointerup", "pointercancel"]) svg.addEventListener(name, (event) => this.up(event));
  }

  get isDragging() {
    return this.drag !== null;
  }

  down(event) {
    if (event.button > 0 || this.drag) return;
    const { editor } = this;
    const { view, canvas } = editor;
    editor.svg.setPointerCapture(event.pointerId);
    const place = view.place(event);
    const grip = editor.isDrawing || view.pointers.size ? null : canvas.grip(place, view.scale);
    if (grip) {
      event.preventDefault();
      this.begin(grip, place, event);
    } else view.begin(event, (at) => this.tap(at));
  }

  // The middle of a side becomes a corner when it is taken.
  begin({ handle, kind }, from, event) {
    const { editor } = this;
    const { ringAt } = handle;
    const isNew = kind === "middle";
    const { piece: base, at } = isNew ? withCorner(editor.chosen, ringAt, handle.at, handle.place) : { piece: editor.chosen, at: handle.at };
    const start = [...ringsOf(base)[ringAt][at]];
    this.drag = { pointer: event.pointerId, base, ringAt, at, isNew, start, from, moved: false, back: handle.at };
    editor.sketch(base);
    editor.canvas.focusCorner(ringAt, at);
    editor.magnify(start);
  }

  move(event) {
    const { editor } = this;
    if (this.drag && this.drag.pointer === event.pointerId) this.pull(editor.view.place(event));
    else if (editor.view.pointers.size) this.pan(event);
    else if (editor.isDrawing && event.pointerType === "mouse") {
      editor.drawing.move(editor.view.place(event));
      editor.magnify(editor.drawing.aim);
    }
  }

  // While drawing, the picture is moved under the crosshair, which stays in the middle.
  pan(event) {
    const { view, isDrawing, drawing } = this.editor;
    view.follow(event);
    if (isDrawing && !view.tapped) drawing.move([...view.centre]);
  }

  // The corner keeps its distance from the finger, which would hide it otherwise.
  pull(now) {
    const { editor, drag } = this;
    const { left, top, width, height } = editor.model.picture;
    const [x, y] = [0, 1].map((axis) => drag.start[axis] + now[axis] - drag.from[axis]);
    const place = [Math.min(left + width, Math.max(left, x)), Math.min(top + height, Math.max(top, y))];
    const made = moved(drag.base, drag.ringAt, drag.at, place);
    drag.moved = true;
    editor.sketch(made);
    editor.magnify(place);
    if (crossingOf(made)) editor.say("The sides cross here: if you let go now, the corner goes back.");
  }

  up(event) {
    const { editor, drag } = this;
    if (!drag || drag.pointer !== event.pointerId) {
      editor.view.end(event);
      return;
    }
    const made = editor.chosen;
    this.drag = null;
    editor.sketch(null);
    if (event.type === "pointerup" && (drag.moved || drag.isNew)) editor.drop(drag, made);
    editor.canvas.focusCorner(drag.ringAt, drag.at);
    editor.canvas.hideLoupe();
  }

  // Give the drag up, the pointer still down.
  letGo() {
    const { ringAt, back } = this.drag;
    this.drag = null;
    this.editor.sketch(null);
    this.editor.canvas.focusCorner(ringAt, back);
    this.editor.canvas.hideLoupe();
    this.editor.say("Left where it was.");
  }

  // A tap sets a corner while drawing, and else chooses a line there, or the smallest outline.
  tap(place) {
    const { editor } = this;
    if (editor.isDrawing) {
      editor.drawing.set(place);
      return;
    }
    const reach = NEAR * editor.view.scale;
    const holds = ({ outline }) => outline.length && (isInside(place, outline) || distanceToRing(place, outline) < reach);
    const isThere = (piece) => (isLine(piece) ? distanceToLine(place, piece) < reach : holds(piece));
    const [smallest] = editor.pieces.filter(isThere).sort((a, b) => sizeOf(a) - sizeOf(b));
    if (smallest !== editor.chosen) editor.choose(smallest || null, true);
  }
}
