// What stands around the editor's picture: the lists, the areas, the status line, which buttons can be pressed.

import { areaOf } from "../drawing/geometry.js";

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

  // state: {chosen, before (the chosen piece as it was, or undefined), drawing, able: {button: whether it does something}, edits}.
  show({ chosen, before, drawing, able, edits }) {
    this.part("draw-panel").hidden = !drawing;
    this.part("choose-panel").hidden = drawing;
    for (const name of ["piece-panel", "area"]) this.part(name).hidden = !chosen || drawing;
    if (chosen) this.showPiece(chosen, before);
    for (const [name, can] of Object.entries(able)) this.button(name).setAttribute("aria-disabled", String(!can));
    const said = `${edits} ${edits === 1 ? "outline" : "outlines"} changed, not saved yet.`;
    this.part("count").textContent = edits ? said : "Nothing changed yet.";
  }

  showPiece(piece, before) {
    const now = this.words.area(areaOf(piece));
    const was = before && before.outline.length ? this.words.area(areaOf(before)) : now;
    const text = `Area along the tape’s middle: ${now}${was === now ? "" : `, before ${was}`}.`;
    this.part("area").textContent = piece.outline.length ? text : "It was not found in the photo: draw its outline.";
    this.part("curved").hidden = !piece.curved;
    this.part("unmeasured").hidden = piece.status === "measured" || !piece.outline.length;
    this.button("remove-corner").hidden = piece.curved;
  }

  fill(pieces, chosen, zones) {
    const names = pieces.map((piece) => option(this.words.piece(piece, pieces), piece.id));
    this.part("choose").replaceChildren(option("Choose an outline", ""), ...names);
    this.part("choose").value = chosen ? String(chosen.id) : "";
    for (const list of ["zone", "draw-zone"]) {
      const was = this.part(list).value;
      this.part(list).replaceChildren(...zones.map((zone) => option(zone, zone)));
      if (was) this.part(list).value = was;
    }
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
