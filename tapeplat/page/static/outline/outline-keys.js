// Keys on the outline editor: corners moved, removed and added, the drawing, undo and redo.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export class Keys {
  constructor(editor) {
    this.editor = editor;
    editor.svg.addEventListener("keydown", (event) => this.key(event));
    editor.root.addEventListener("keydown", (event) => this.shortcut(event));
  }

  key(event) {
    const { editor } = this;
    if (event.ctrlKey || event.metaKey || event.altKey || event.key === "Tab") return;
    const handle = editor.canvas.handleOf(event.target);
    const side = editor.canvas.middleOf(event.target);
    if ((handle && this.cornerKey(handle, event)) || (side && this.sideKey(side, event)) || this.backgroundKey(event)) {
      event.preventDefault();
    }
  }

  cornerKey(handle, event) {
    const { editor } = this;
    const isHere = ({ ringAt, at }) => ringAt === handle.ringAt && at === handle.at;
    const side = editor.canvas.middles.find(isHere);
    if (ARROWS[event.key]) editor.nudge(handle, ARROWS[event.key], event.shiftKey);
    else if (event.key === "Delete" || event.key === "Backspace") editor.removeCorner(handle);
    else if (event.key === "Insert" && side) editor.addCorner(side);
    else return false;
    return true;
  }

  sideKey(side, event) {
    const { editor } = this;
    const adds = event.key === "Enter" || event.key === " ";
    if (adds) editor.addCorner(side);
    return adds;
  }

  backgroundKey(event) {
    const { editor } = this;
    if (!editor.isDrawing || !editor.drawing.key(event)) return editor.view.key(event);
    if (editor.isDrawing) {
      editor.view.reveal(editor.drawing.aim);
      editor.magnify(editor.drawing.aim);
    }
    return true;
  }

  shortcut(event) {
    const { editor } = this;
    const key = event.key.toLowerCase();
    const control = (event.ctrlKey || event.metaKey) && !event.target.matches("textarea, input");
    if (key === "escape" && editor.gestures.isDragging) editor.gestures.letGo();
    else if (key === "escape" && editor.isDrawing) editor.cancelDrawing();
    else if (control && key === "z") editor.travel(event.shiftKey ? "redo" : "undo");
    else if (control && key === "y") editor.travel("redo");
    else return;
    event.preventDefault();
  }
}
