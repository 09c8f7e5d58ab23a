// Which part of a drawing an SVG shows: zoom and pan by wheel, pinch, drag and keys. Lengths are the drawing's.

const LARGEST = 12; // screen pixels for one of the picture's
const STEP = 1.4;
const PAN = 60; // screen pixels for one arrow key
const STILL = 6; // a pointer that moved less was a tap

export class View {
  // bounds: {left, top, width, height} of the picture; pixel: the size of one of its pixels.
  constructor(svg, bounds, pixel, changed) {
    Object.assign(this, { svg, bounds, pixel, changed, pointers: new Map(), fingers: null });
    this.centre = [bounds.left + bounds.width / 2, bounds.top + bounds.height / 2];
    this.size = [1, 1];
    this.scale = 0; // of the drawing for one screen pixel; 0: not shown yet
    new ResizeObserver(() => this.resize()).observe(svg);
    svg.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.resize();
  }

  get whole() {
    return Math.max(this.bounds.width / this.size[0], this.bounds.height / this.size[1]);
  }

  get isWhole() {
    return this.scale > 0.99 * this.whole;
  }

  resize() {
    const { width, height } = this.svg.getBoundingClientRect();
    if (!width || !height) return;
    const keep = this.scale && !this.isWhole ? this.scale : 0;
    this.size = [width, height];
    this.scale = keep || this.whole;
    this.show();
  }

  show() {
    const { left, top, width, height } = this.bounds;
    this.scale = Math.min(this.whole, Math.max(this.pixel / LARGEST, this.scale));
    this.centre = [clamp(this.centre[0], left, left + width), clamp(this.centre[1], top, top + height)];
    if (this.isWhole) this.centre = [left + width / 2, top + height / 2];
    const [w, h] = [this.size[0] * this.scale, this.size[1] * this.scale];
    this.svg.setAttribute("viewBox", [this.centre[0] - w / 2, this.centre[1] - h / 2, w, h].join(" "));
    this.svg.classList.toggle("is-whole", this.isWhole);
    this.changed();
  }

  // The place under a pointer event.
  place(event) {
    const box = this.svg.getBoundingClientRect();
    return [
      this.centre[0] + (event.clientX - box.left - this.size[0] / 2) * this.scale,
      this.centre[1] + (event.clientY - box.top - this.size[1] / 2) * this.scale,
    ];
  }

  // Where in the SVG, in screen pixels from its top left, a place lies.
  onScreen(place) {
    return [0, 1].map((axis) => (place[axis] - this.centre[axis]) / this.scale + this.size[axis] / 2);
  }

  // Zoom so that `fixed` (the middle, without one) stays where it is.
  zoom(factor, fixed = this.centre) {
    const before = this.scale;
    const wanted = Math.min(this.whole, Math.max(this.pixel / LARGEST, before / factor));
    this.centre = this.centre.map((at, axis) => fixed[axis] + ((at - fixed[axis]) * wanted) / before);
    this.scale = wanted;
    this.show();
  }

  showWhole() {
    this.scale = this.whole;
    this.show();
  }

  pan(across, down) {
    this.centre = [this.centre[0] + across * this.scale, this.centre[1] + down * this.scale];
    this.show();
  }

  // Move as little as it takes to have a place in sight, well off the rim.
  reveal(place) {
    const rim = Math.min(48, this.size[0] / 4, this.size[1] / 4);
    const [x, y] = this.onScreen(place);
    const past = (at, most) => Math.min(0, at - rim) + Math.max(0, at - most + rim);
    const [across, down] = [past(x, this.size[0]), past(y, this.size[1])];
    if (across || down) this.pan(across, down);
  }

  // True where the key was one for the view.
  key(event) {
    const arrows = { ArrowLeft: [-PAN, 0], ArrowRight: [PAN, 0], ArrowUp: [0, -PAN], ArrowDown: [0, PAN] };
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    if (arrows[event.key]) this.pan(...arrows[event.key]);
    else if (event.key === "+" || event.key === "=") this.zoom(STEP);
    else if (event.key === "-") this.zoom(1 / STEP);
    else if (event.key === "0") this.showWhole();
    else return false;
    return true;
  }

  // The wheel zooms where it can, and else scrolls the page as everywhere.
  wheel(event) {
    if (this.isWhole && event.deltaY > 0) return;
    event.preventDefault();
    this.zoom(Math.exp(-clamp(event.deltaY, -200, 200) / 400), this.place(event));
  }

  // A pointer on the background. `tapped` is called with its place where it neither moved nor pinched.
  begin(event, tapped) {
    this.pointers.set(event.pointerId, { at: [event.clientX, event.clientY], from: [event.clientX, event.clientY] });
    this.tapped = this.pointers.size === 1 ? tapped : null;
    this.fingers = null;
  }

  follow(event) {
    const pointer = this.pointers.get(event.pointerId);
    if (!pointer) return;
    const now = [event.clientX, event.clientY];
    if (Math.hypot(now[0] - pointer.from[0], now[1] - pointer.from[1]) > STILL) this.tapped = null;
    if (this.pointers.size === 1 && !this.tapped) this.pan(pointer.at[0] - now[0], pointer.at[1] - now[1]);
    if (this.pointers.size > 1 || !this.tapped) pointer.at = now;
    if (this.pointers.size === 2) this.pinch();
  }

  pinch() {
    const [a, b] = [...this.pointers.values()].map(({ at }) => at);
    const now = { apart: Math.hypot(a[0] - b[0], a[1] - b[1]), centre: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] };
    const before = this.fingers;
    this.fingers = now;
    if (!before || !before.apart || !now.apart) return;
    this.pan(before.centre[0] - now.centre[0], before.centre[1] - now.centre[1]);
    this.zoom(now.apart / before.apart, this.place({ clientX: now.centre[0], clientY: now.centre[1] }));
  }

  end(event) {
    const known = this.pointers.delete(event.pointerId);
    this.fingers = null;
    if (known && event.type === "pointerup" && this.tapped) this.tapped(this.place(event), event);
    this.tapped = null;
  }
}

function clamp(value, least, most) {
  return Math.min(most, Math.max(least, value));
}
