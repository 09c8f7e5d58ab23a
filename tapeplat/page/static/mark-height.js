// Marks the foot and the top of an upright edge in a photo: by tapping, dragging, or the keyboard. The form's four
// fields hold the places, in pixels of the photo, and work without this script.

const SVG = "http://www.w3.org/2000/svg";
const ENDS = ["foot", "top"];
const LARGEST = 8;

function part(tag, attributes) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

class Marking {
  constructor(form) {
    this.form = form;
    this.sheet = form.querySelector(".mark-sheet");
    this.svg = form.querySelector("[data-part=marks]");
    this.status = form.querySelector("[data-part=status]");
    this.size = { width: Number(form.dataset.width), height: Number(form.dataset.height) };
    this.zoom = 1;
    this.dragged = null;
    for (const hidden of form.querySelectorAll("[data-app]")) hidden.hidden = false;
    this.listen();
    this.draw();
  }

  field(end, axis) {
    return this.form.elements[`${end}_${axis}`];
  }

  place(end) {
    const [x, y] = ["x", "y"].map((axis) => this.field(end, axis).value.trim().replace(",", "."));
    return x === "" || y === "" || Number.isNaN(Number(x)) || Number.isNaN(Number(y)) ? null : { x: Number(x), y: Number(y) };
  }

  put(end, x, y) {
    this.field(end, "x").value = Math.min(Math.max(x, 0), this.size.width - 1).toFixed(1);
    this.field(end, "y").value = Math.min(Math.max(y, 0), this.size.height - 1).toFixed(1);
    this.draw();
  }

  // The centre of the top-left pixel is at 0, 0.
  at(event) {
    const box = this.svg.getBoundingClientRect();
    const scale = this.size.width / box.width;
    return { x: (event.clientX - box.left) * scale - 0.5, y: (event.clientY - box.top) * scale - 0.5 };
  }

  // Pixels of the photo that one on the screen holds: nobody marks more finely than that.
  get perPixel() {
    return this.size.width / Math.max(this.svg.getBoundingClientRect().width, 1);
  }

  listen() {
    this.svg.addEventListener("pointerdown", (event) => this.down(event));
    this.svg.addEventListener("pointermove", (event) => this.dragged && this.put(this.dragged, this.at(event).x, this.at(event).y));
    for (const name of ["pointerup", "pointercancel"]) this.svg.addEventListener(name, () => (this.dragged = null));
    this.svg.addEventListener("keydown", (event) => this.key(event));
    for (const end of ENDS) for (const axis of ["x", "y"]) this.field(end, axis).addEventListener("input", () => this.draw());
    for (const button of this.form.querySelectorAll("[data-zoom]")) button.addEventListener("click", () => this.zoomed(button.dataset.zoom));
    this.form.addEventListener("submit", () => (this.form.elements.marking.value = Math.max(2, 1.5 * this.perPixel).toFixed(1)));
    window.addEventListener("resize", () => this.draw());
  }

  down(event) {
    // A low edge's top lies within the foot's mark: a mark is dragged only once both are placed.
    const next = ENDS.find((end) => this.place(end) === null);
    const held = event.target.closest("[data-mark]");
    if (next) {
      this.put(next, this.at(event).x, this.at(event).y);
    } else if (held) {
      this.dragged = held.dataset.mark;
      this.svg.setPointerCapture(event.pointerId);
      event.preventDefault();
    }
  }

  key(event) {
    const held = event.target.closest("[data-mark]");
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (!held || !(event.key in ways)) return;
    const step = event.shiftKey ? 10 : 1;
    const { x, y } = this.place(held.dataset.mark) ?? this.start(held.dataset.mark);
    this.put(held.dataset.mark, x + step * ways[event.key][0], y + step * ways[event.key][1]);
    this.svg.querySelector(`[data-mark=${held.dataset.mark}]`).focus();
    event.preventDefault();
  }

  start(end) {
    return { x: this.size.width / 2, y: this.size.height / 2 - (end === "top" ? this.size.height / 10 : 0) };
  }

  zoomed(way) {
    this.zoom = Math.min(Math.max(this.zoom * (way === "in" ? 1.5 : 1 / 1.5), 1), LARGEST);
    this.sheet.style.width = `${100 * this.zoom}%`;
    this.draw();
  }

  draw() {
    const focused = this.svg.contains(document.activeElement) ? document.activeElement.dataset.mark : null;
    const unit = this.perPixel;
    const [foot, top] = ENDS.map((end) => this.place(end));
    const parts = foot && top ? [part("line", { class: "edge", x1: foot.x + 0.5, y1: foot.y + 0.5, x2: top.x + 0.5, y2: top.y + 0.5, "stroke-width": 2 * unit })] : [];
    for (const end of ENDS) parts.push(this.handle(end, unit));
    this.svg.replaceChildren(...parts);
    if (focused) this.svg.querySelector(`[data-mark=${focused}]`)?.focus();
    this.status.textContent = !foot ? "Tap the foot of an upright edge." : !top ? "Now tap its top, straight above." : "Both are marked. Zoom in and drag them to be exact.";
  }

  // A mark that is not placed yet can be reached by the keyboard, and is shown once it is moved.
  handle(end, unit) {
    const placed = this.place(end);
    const { x, y } = placed ?? this.start(end);
    const label = placed ? `${end === "foot" ? "Foot" : "Top"}: ${Math.round(x)} across, ${Math.round(y)} down` : `${end === "foot" ? "Foot" : "Top"}, not placed yet`;
    const group = part("g", { "data-mark": end, tabindex: 0, role: "button", "aria-label": label, transform: `translate(${x + 0.5} ${y + 0.5})` });
    const shown = placed ? 1 : 0.35;
    group.append(part("circle", { class: "ring", r: 14 * unit, "stroke-width": 2 * unit, opacity: shown }));
    group.append(part("path", { class: "cross", d: `M${-14 * unit} 0H${14 * unit}M0 ${-14 * unit}V${14 * unit}`, "stroke-width": 1.2 * unit, opacity: shown }));
    const name = part("text", { x: -14 * unit, y: (end === "foot" ? 32 : -22) * unit, "font-size": 14 * unit, "stroke-width": 3 * unit, opacity: shown });
    name.textContent = end === "foot" ? "foot" : "top";
    group.append(name);
    if (!placed) group.style.pointerEvents = "none";
    return group;
  }
}

for (const form of document.querySelectorAll("form.mark-height")) {
  const picture = form.querySelector("img");
  const begin = () => new Marking(form);
  if (picture.complete) begin();
  else picture.addEventListener("load", begin, { once: true });
}
