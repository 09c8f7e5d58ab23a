// Drafts: what is typed into a form stays on the device until it is sent, and is there again after a reload or the way back.

import { fill, firstValuesOf, hasFields, same, valuesOf } from "./form-values.js";
import { all, keeps, read, remove, write } from "./kept-store.js";
import { say } from "./kept-notes.js";

const KIND = "draft";
const LATER = "later"; // of a form in which another draft stands: several that were sent without a connection came back

export const attribute = (form, name) => form.getAttribute(name) ?? "";
export const actionOf = (form) => new URL(attribute(form, "action") || location.href, location.href);

/** Whether what is typed into this form is kept. Fields may be named like a form's own properties, so attributes are asked. */
export function isKept(form) {
  return keeps && (isPost(form) || attribute(form, "data-keep") === "typed") && attribute(form, "data-keep") !== "off" && hasFields(form);
}

export const isPost = (form) => attribute(form, "method").toLowerCase() === "post";

/** What a form is called here: where it is sent, which of those that are sent there it is, and the page it is on. */
export function nameOf(form) {
  const action = actionOf(form).pathname;
  const alike = [...document.forms].filter((other) => actionOf(other).pathname === action && hasFields(other));
  return `${action} ${attribute(form, "data-keep-as") || alike.indexOf(form)} ${location.pathname}`;
}

export function keep(form) {
  const [name, values] = [nameOf(form), valuesOf(form)];
  if (same(values, firstValuesOf(form))) remove(KIND, name);
  else write(KIND, name, { values });
}

export const forget = (name) => remove(KIND, name);
export const draftOf = (name) => read(KIND, name)?.values;
export const keepAs = (name, values, more = {}) => write(KIND, name, { values, ...more });

export const keepForLater = (name, id, values, refused) => write(LATER, `${name} ${id}`, { values, refused });
export const forLater = () => all(LATER);

/** Put drafts back into the page's forms. */
export function restore() {
  for (const form of document.forms) if (isKept(form)) restoreOne(form);
}

function restoreOne(form) {
  const [name, kept] = found(form);
  if (!kept || same(kept.values, valuesOf(form))) return;
  fill(form, kept.values);
  keepAs(name, kept.values, { at: kept.at });
  const again = document.createElement("button");
  Object.assign(again, { type: "button", className: "button quiet small", textContent: "Start over" });
  again.addEventListener("click", () => {
    forget(name);
    location.assign(location.pathname + location.search); // a reload would send a form again that the page has answered
  });
  say(`draft ${name}`, kept.refused || "What you typed before is here again. It is not sent yet.", again);
}

/** A form's draft; at a form's own address also one that was typed on another of its pages, as on a saved plan's. */
function found(form) {
  const name = nameOf(form);
  const own = read(KIND, name) ?? next(name);
  if (own || actionOf(form).pathname !== location.pathname) return [name, own];
  const start = name.slice(0, name.lastIndexOf(" ") + 1);
  const [other, kept] = all(KIND).filter(([key]) => key.startsWith(start)).at(-1) ?? [];
  if (kept) forget(other);
  return [name, kept];
}

/** What came back for this form and had to wait, the oldest first. */
function next(name) {
  const [key, kept] = all(LATER).find(([other]) => other.startsWith(`${name} `)) ?? [];
  if (kept) remove(LATER, key);
  return kept;
}

/** Listen to everything that is typed. */
export function watch() {
  for (const kind of ["input", "change"]) {
    document.addEventListener(kind, ({ target }) => {
      const form = target.form ?? target.closest?.("form");
      if (form && isKept(form)) keep(form);
    });
  }
}
