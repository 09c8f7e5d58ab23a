// <... data-live="address">: asks for its parts again and again, and puts those that changed in the place of the old ones.
// A part has data-part and an id; a list of parts data-list and an id. What somebody is about to choose is left alone.

import { ask } from "./requests.js";

const BUSY = 1500; // ms between two looks while something is being measured
const CALM = 4000;
const MOST = 30_000; // where nobody answers

class Live {
  constructor(box) {
    this.box = box;
    this.sources = new Map([...box.querySelectorAll("[data-part]")].map((part) => [part.id, part.outerHTML]));
    this.stamp = "";
    this.wait = CALM;
    this.later();
    document.addEventListener("photos-kept", ({ detail }) => { if (detail.arrived) this.look(); });
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.look(); });
  }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.look(), this.wait);
  }

  async look() {
    clearTimeout(this.timer);
    if (document.hidden) return;
    try {
      const answer = await ask(this.box.dataset.live, { headers: { "X-Stamp": this.stamp } });
      if (answer.status !== 204 && this.show(await answer.text())) this.stamp = answer.headers.get("X-Stamp");
      this.box.removeAttribute("data-lost");
      this.wait = this.box.querySelector(".turning") ? BUSY : CALM;
    } catch (problem) {
      this.box.dataset.lost = problem.message; // what is shown is old; css says so
      this.wait = Math.min(MOST, 2 * this.wait);
    }
    this.later();
  }

  /** Put what changed in its place; false where something had to be left as it was for the moment. */
  show(html) {
    const fresh = document.createRange().createContextualFragment(html); // made and escaped by the server
    let all = true;
    for (const list of fresh.querySelectorAll("[data-list]")) all = this.showList(list) && all;
    for (const part of fresh.querySelectorAll("[data-part]")) {
      if (!part.closest("[data-list]")) all = this.put(part, document.getElementById(part.id)) && all;
    }
    return all;
  }

  showList(list) {
    const shown = document.getElementById(list.id);
    const wanted = [...list.children];
    let all = true;
    for (const gone of [...shown.children].filter((old) => !wanted.some((part) => part.id === old.id))) {
      this.sources.delete(gone.id);
      gone.remove();
    }
    for (const [at, part] of wanted.entries()) {
      const old = document.getElementById(part.id);
      if (old) all = this.put(part, old) && all;
      else {
        this.sources.set(part.id, part.outerHTML);
        shown.insertBefore(part, shown.children[at] ?? null);
      }
    }
    return all;
  }

  put(part, old) {
    const source = part.outerHTML;
    if (this.sources.get(part.id) === source) return true;
    if (chosenIn(old, part)) return false;
    const focused = old.contains(document.activeElement) ? document.activeElement : null;
    const open = [...old.querySelectorAll("details[open]")].map((details) => details.id);
    this.sources.set(part.id, source);
    old.replaceWith(part);
    for (const details of part.querySelectorAll("details")) details.open = open.includes(details.id);
    if (focused) sameIn(part, focused)?.focus({ preventScroll: true });
    return true;
  }
}

/** Whether somebody chose something there that is not sent yet, or is about to, and can still be chosen in the new part. */
function chosenIn(part, fresh) {
  const choices = [...part.querySelectorAll("select")].filter((choice) => fresh.querySelector(`#${CSS.escape(choice.id)}`));
  return choices.some((choice) => choice.value || choice === document.activeElement);
}

/** The link or button of a new part that is what had the focus in the old one. */
function sameIn(part, focused) {
  const name = (element) => element.id || element.textContent; // a team's link leads elsewhere after a new photo
  return [...part.querySelectorAll("a, button, summary, select")].find((element) => name(element) === name(focused));
}

for (const box of document.querySelectorAll("[data-live]")) new Live(box);
