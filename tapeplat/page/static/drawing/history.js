// The states of a drawing, with undo and redo.

export class History {
  constructor(first) {
    this.states = [first];
    this.at = 0;
  }

  get now() {
    return this.states[this.at];
  }

  get first() {
    return this.states[0];
  }

  get canUndo() {
    return this.at > 0;
  }

  get canRedo() {
    return this.at < this.states.length - 1;
  }

  push(pieces, said) {
    this.states = [...this.states.slice(0, this.at + 1), { pieces, said }];
    this.at += 1;
  }

  // One change of two that are called the same: undo then takes both back.
  mergeAlike() {
    const [before, last] = this.states.slice(-2);
    if (this.at < 2 || before.said !== last.said) return;
    this.states.splice(-2, 1);
    this.at -= 1;
  }

  // What was taken back, in words; null where nothing can be.
  undo() {
    if (!this.canUndo) return null;
    this.at -= 1;
    return this.states[this.at + 1].said;
  }

  redo() {
    if (!this.canRedo) return null;
    this.at += 1;
    return this.now.said;
  }
}
