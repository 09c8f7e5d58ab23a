// What the outline editor does with lines alone: pieces joined, points taken out, the width of one that is drawn.

import { drawnLine, isLine, joinedLines } from "./line-state.js";
import { withoutCorner } from "./outline-state.js";

export class LineRepair {
  constructor(editor) {
    this.editor = editor;
    const { panel, drawing } = editor;
    panel.part("draw-zone").addEventListener("change", () => this.fillWidth());
    panel.part("draw-width").addEventListener("keydown", (event) => { if (event.key === "Enter") drawing.close(); });
  }

  // The pieces that the chosen one can be joined with: open ones of its line.
  get joinable() {
    const { chosen } = this.editor;
    if (!chosen || !isLine(chosen) || chosen.closed) return [];
    return this.editor.pieces.filter((piece) => piece !== chosen && isLine(piece) && piece.zone === chosen.zone && !piece.closed);
  }

  removePoint(handle) {
    const { chosen } = this.editor;
    if (chosen.knots.length <= (chosen.closed ? 3 : 2)) return this.editor.say("A line keeps its last points. Remove the whole piece instead.");
    const name = this.editor.cornerName(handle);
    const made = withoutCorner(chosen, handle.ringAt, handle.at);
    if (!this.editor.change(made, `removal of ${name}`)) return undefined;
    this.editor.canvas.focusCorner(0, this.editor.chosen.knots[Math.min(Math.max(0, handle.number - 2), this.editor.chosen.knots.length - 1)]);
    return this.editor.say(`${name} removed. ${this.editor.words.size(this.editor.chosen)}.`);
  }

  // The chosen piece of a line takes another one in, by a straight stretch between their nearest ends.
  join() {
    const other = this.joinable.find(({ id }) => String(id) === this.editor.panel.part("join-with").value);
    if (!other) return;
    const names = [this.editor.chosen, other].map((piece) => this.editor.words.piece(piece, this.editor.pieces));
    const [host, part] = this.editor.chosen.from || !other.from ? [this.editor.chosen, other] : [other, this.editor.chosen];
    const made = joinedLines(host, part);
    this.editor.chosenId = made.id;
    const pieces = this.editor.pieces.filter((piece) => piece !== part).map((piece) => (piece === host ? made : piece));
    this.editor.commit(pieces, `joining of ${names.join(" and ")}`);
    this.editor.panel.part("choose").focus();
    this.editor.say(`${names.join(" and ")} are one piece now, ${this.editor.words.size(made)}. Move its points if the way between is another.`);
  }

  // The width of a line that is drawn is that of its other pieces, where there are any.
  fillWidth() {
    const line = this.editor.panel.part("draw-zone").value;
    const other = this.editor.pieces.find((piece) => isLine(piece) && piece.zone === line && piece.width);
    this.editor.panel.part("draw-width").value = other ? this.editor.words.number(other.width) : "";
  }

  // The piece that was drawn; null where its width is not said yet, and has to be.
  drawn(line, points, closed) {
    const { editor } = this;
    const width = this.widthDrawn(line);
    if (width !== undefined) return drawnLine(editor.nextId, line, points, closed, width);
    editor.panel.part("draw-width").focus();
    editor.say(`Say how wide ${line} is, then end the line.`);
    return null;
  }

  // In millimetres; undefined where the field holds no number, null where the line's other pieces tell it.
  widthDrawn(line) {
    const typed = this.editor.panel.part("draw-width").value.trim().replace(",", ".");
    const other = this.editor.pieces.find((piece) => isLine(piece) && piece.zone === line && piece.width);
    if (other && (!typed || typed === this.editor.words.number(other.width))) return other.from ? null : other.width;
    const width = Number(typed) * this.editor.model.mm;
    return width > 0 ? width : undefined;
  }
}
