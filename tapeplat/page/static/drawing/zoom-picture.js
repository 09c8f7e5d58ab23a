// <zoom-picture>: the picture in it can be enlarged and moved by wheel, fingers, keys and buttons. Without a script it
// is a plain picture that leads to itself in full size.

import { View } from "./view.js";

const SVG = "http://www.w3.org/2000/svg";

class ZoomPicture extends HTMLElement {
  connectedCallback() {
    const image = this.querySelector("img");
    if (!image || this.querySelector("svg")) return;
    if (image.complete && image.naturalWidth) this.begin(image);
    else image.addEventListener("load", () => this.begin(image), { once: true });
  }

  begin(image) {
    const [width, height] = [image.naturalWidth, image.naturalHeight];
    const svg = made("svg", { tabindex: "0", role: "img", "aria-label": `${image.alt}. Plus and minus zoom, arrow keys move.` });
    svg.append(made("image", { href: image.src, width, height }));
    svg.style.aspectRatio = `${width} / ${height}`;
    image.closest("a").replaceWith(svg);
    this.view = new View(svg, { left: 0, top: 0, width, height }, 1, () => this.changed());
    for (const [name, act] of [["pointerdown", "begin"], ["pointermove", "follow"], ["pointerup", "end"], ["pointercancel", "end"]]) {
      svg.addEventListener(name, (event) => {
        if (name === "pointerdown") svg.setPointerCapture(event.pointerId);
        this.view[act](event, name === "pointerdown" ? () => {} : undefined);
      });
    }
    svg.addEventListener("keydown", (event) => { if (this.view.key(event)) event.preventDefault(); });
    this.append(this.buttons());
    this.view.resize();
  }

  buttons() {
    const row = Object.assign(document.createElement("div"), { className: "row no-print" });
    for (const [text, label, act] of [["+", "Enlarge the picture", () => this.view.zoom(1.6)], ["−", "Make the picture smaller", () => this.view.zoom(1 / 1.6)], ["Whole picture", "", () => this.view.showWhole()]]) {
      const button = Object.assign(document.createElement("button"), { type: "button", className: "button quiet small", textContent: text });
      if (label) button.setAttribute("aria-label", label);
      button.addEventListener("click", act);
      row.append(button);
    }
    return row;
  }

  changed() {
    if (!this.view) return;
    const [, smaller, whole] = this.querySelectorAll(".row button");
    if (smaller) smaller.disabled = whole.disabled = this.view.isWhole;
  }
}

function made(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

customElements.define("zoom-picture", ZoomPicture);
