// <poll-part data-address>: shows the same piece of the page anew, until it comes without a <poll-part>.

import { ask } from "./requests.js";

const OFTEN = 1000; // ms
const LATER = 4000; // where nobody answered

class PollPart extends HTMLElement {
  connectedCallback() {
    this.timer = setTimeout(() => this.refresh(), OFTEN);
  }

  disconnectedCallback() {
    clearTimeout(this.timer);
  }

  async refresh() {
    try {
      const html = await (await ask(this.dataset.address)).text();
      const made = document.createRange().createContextualFragment(html); // made and escaped by the server
      const next = made.querySelector("poll-part");
      if (next && (html === this.seen || this.contains(document.activeElement))) this.connectedCallback();
      else {
        if (next) next.seen = html;
        this.replaceWith(made);
      }
    } catch (problem) {
      if (problem.lines) this.textContent = problem.message;
      else this.timer = setTimeout(() => this.refresh(), LATER); // no connection: it comes back
    }
  }
}

customElements.define("poll-part", PollPart);
