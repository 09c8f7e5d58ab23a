// What stands around the editor's picture: the lists, the areas, the status line, which buttons can be pressed.

import { isLine } from "./line-state.js";

const PAUSE = 350; // milliseconds without a key before the new place is said

export class Panel {
  constructor(root, words) {
    Object.assign(this, { root, words });
    this.part("steps").textContent = words.steps;
  }

  part(name) {
    return this.root.querySelector(`[data-part="${name}"]`);
  }

  button(name) {
    return this.root.querySelector(`[data-do="${name}"]`);
  }

  // state: {chosen, before (the chosen piece as it was, or undefined), others (pieces it can be joined with), drawing,
  // able: {button: whether it does something}, edits}.
  show({ chosen, before, others, drawing, able, edits }) {
    this.part("draw-panel").hidden = !drawing;
    this.part("join-panel").hidden = !others.length;
    this.part("choose-panel").hidden = drawing;
    for (const name of ["piece-panel", "area"]) this.part(name).hidden = !chosen || drawing;
    if (chosen) this.showPiece(chosen, before);
    for (const [name, can] of Object.entries(able)) this.button(name).setAttribute("aria-disabled", String(!can));
    const what = this.hasLines ? ["outline or line", "outlines and lines"] : ["outline", "outlines"];
    const said = `${edits} ${what[edits === 1 ? 0 : 1]} changed, not saved yet.`;
    this.part("count").textContent = edits ? said : "Nothing changed yet.";
  }

  showPiece(piece, before) {
    const now = this.words.size(piece);
    const was = before && before.outline.length ? this.words.size(before) : now;
    const what = isLine(piece) ? "Along the line’s middle" : "Area along the tape’s middle";
    const text = `${what}: ${now}${was === now ? "" : `, before ${was}`}.`;
    this.part("area").textContent = piece.outline.length ? text : "It was not found in the photo: draw its outline.";
    this.part("curved").hidden = !piece.curved;
    this.part("unmeasured").hidden = piece.status === "measured" || !piece.outline.length;
    this.button("remove-corner").hidden = piece.curved;
    this.button("remove-corner").textContent = isLine(piece) ? "Remove point" : "Remove corner";
    this.button("remove-piece").textContent = isLine(piece) ? "Remove piece" : "Remove outline";
  }

  // What stands in the panel for drawing an outline, or a line.
  showDrawing(names, line) {
    this.options("draw-zone", names);
    this.part("draw-of").textContent = line ? "Line" : "Zone";
    this.part("draw-width-field").hidden = !line;
    this.button("set").textContent = line ? "Set point at crosshair" : "Set corner at crosshair";
    this.button("back").textContent = line ? "Take point back" : "Take corner back";
    this.button("close").textContent = line ? "End the line" : "Close outline";
    for (const kind of ["outline", "line"]) this.part(`draw-${kind}-hint`).hidden = (kind === "line") !== line;
  }

  options(list, names) {
    const was = this.part(list).value;
    this.part(list).replaceChildren(...names.map((name) => option(name, name)));
    if (names.includes(was)) this.part(list).value = was;
  }

  // lines: the challenge's; others: pieces that the chosen one can be joined with.
  fill(pieces, chosen, { zones, lines }, others) {
    this.hasLines = lines.length > 0;
    const names = pieces.map((piece) => option(this.words.piece(piece, pieces), piece.id));
    this.part("choose").replaceChildren(option(lines.length ? "Choose an outline or a line" : "Choose an outline", ""), ...names);
    this.part("choose").value = chosen ? String(chosen.id) : "";
    this.options("zone", chosen && isLine(chosen) ? lines : zones);
    this.part("join-with").replaceChildren(...others.map((piece) => option(this.words.piece(piece, pieces), piece.id)));
    if (chosen) this.part("zone").value = chosen.zone;
  }

  // Say it in the status line; "later" waits until keys rest, so that only the last place is read out.
  say(text, when = "now") {
    clearTimeout(this.saying);
    const tell = () => { this.part("status").textContent = text; };
    if (when === "later") this.saying = setTimeout(tell, PAUSE);
    else tell();
  }

  refuse(lines) {
    const paragraphs = lines.map((line) => Object.assign(document.createElement("p"), { textContent: line }));
    this.part("error").replaceChildren(...paragraphs);
    this.part("error").hidden = !lines.length;
  }
}

const option = (textContent, value) => Object.assign(document.createElement("option"), { value, textContent });
