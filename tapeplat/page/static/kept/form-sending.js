// Sending forms so that nothing is lost without a connection: what cannot be sent waits on the device, and goes by itself
// when the connection is back. Each carries a name of its own, by which the page knows one that it has already.

import { ask } from "./asking.js";
import { actionOf, attribute, draftOf, forget, isKept, isPost, keepAs, keepForLater, nameOf } from "./drafts.js";
import { same, valuesOf } from "./form-values.js";
import { all, keeps, newId, read, remove, write } from "./kept-store.js";
import { say, unsay } from "./kept-notes.js";

const KIND = "waiting";
const AGAIN = 4000; // ms between two tries
const plain = new WeakSet(); // forms that the browser sends by itself
let timer, isSending = false;

const isTakenOver = (form) => isKept(form) && isPost(form) && !form.querySelector("input[type=file]");

export const waiting = () => all(KIND);

export function start() {
  if (!keeps) return;
  document.addEventListener("submit", taken);
  window.addEventListener("online", sendWaiting);
  if (waiting().length) sendWaiting();
}

function taken(event) {
  const form = event.target;
  if (event.defaultPrevented || plain.has(form) || !isTakenOver(form)) return;
  const item = itemOf(form, event.submitter);
  const name = attribute(form, "data-next") ? `${item.form} ${item.id}` : item.form;
  const before = read(KIND, name);
  if (before && same(before.body, item.body)) item.id = before.id;
  if (!write(KIND, name, item)) return; // no room: the browser sends it
  event.preventDefault();
  sendNow(form, event.submitter, name, item);
}

function itemOf(form, button) {
  const body = [...new FormData(form)].filter(([key]) => key !== "csrf");
  if (button?.name) body.push([button.name, button.value]);
  const { pathname, search } = actionOf(form);
  const title = document.title.split(" – ")[0];
  const next = attribute(form, "data-next");
  return { id: newId(), to: pathname + search, body, form: nameOf(form), values: valuesOf(form), page: location.pathname, title, next };
}

/** The form that was sent a moment ago: go on where the page says, or stay and say why not. */
async function sendNow(form, button, name, item) {
  form.setAttribute("aria-busy", "true");
  const answer = await send(item);
  form.removeAttribute("aria-busy");
  if (answer.lost && !unmade(form)) return waitFor(form, item);
  remove(KIND, name);
  if (answer.lost) return askFor(unmade(form));
  if (answer.go) {
    finish(item);
    return goTo(answer.go);
  }
  if (answer.error) return say("refused", wordsOf(answer.error));
  plain.add(form); // the answer is a page, with what is wrong beside its fields: nothing was kept, so it is asked for once more
  form.requestSubmit(button ?? undefined);
  return setTimeout(() => plain.delete(form));
}

/** A choice that is in sight and was not made: it is asked for now, not when the connection is back. */
const unmade = (form) => [...form.querySelectorAll("fieldset[data-needed]")].find((set) => set.offsetParent && !set.querySelector(":checked"));

function askFor(choice) {
  say("refused", `One thing is missing: ${choice.querySelector("legend").textContent.trim()}`);
  choice.querySelector("input").focus();
}

function waitFor(form, item) {
  const next = form.elements[attribute(form, "data-next")];
  if (next && same(valuesOf(form), item.values)) { // the next number can be typed
    forget(item.form);
    next.value = "";
    next.focus();
  }
  sayWaiting();
  later();
}

function sayWaiting() {
  const titles = waiting().map(([, { title }]) => title);
  if (!titles.length) return unsay("waiting");
  const counts = [...new Set(titles)].map((title) => counted(title, titles.filter((other) => other === title).length));
  const now = document.createElement("button");
  Object.assign(now, { type: "button", className: "button quiet small", textContent: "Try now" });
  now.addEventListener("click", sendWaiting);
  return say("waiting", `No connection. This waits on this device, and is sent by itself when the connection is back: ${counts.join(", ")}.`, now);
}

const counted = (title, count) => (count > 1 ? `${title} (${count})` : title);

function later() {
  clearTimeout(timer);
  timer = setTimeout(sendWaiting, AGAIN);
}

/** Send what waits, the oldest first, for as long as there is a connection. */
async function sendWaiting() {
  if (isSending) return;
  isSending = true;
  const sent = [];
  for (const [name, item] of waiting()) {
    const answer = await send(item);
    if (answer.lost) break;
    remove(KIND, name);
    if (answer.go) sent.push([item, answer.go]);
    else giveBack(item, answer);
  }
  isSending = false;
  sayWaiting();
  if (waiting().length) later();
  if (sent.length) saySent(sent);
}

function saySent(sent) {
  const untouched = sent.map(([item]) => finish(item));
  const [last, go] = sent.at(-1);
  if (untouched.at(-1) && last.page === location.pathname && !waiting().length) return goTo(go);
  const link = document.createElement("a");
  Object.assign(link, { href: go, textContent: "Look at it" });
  return say("sent", `The connection is back. Sent: ${[...new Set(sent.map(([{ title }]) => title))].join(", ")}.`, link);
}

/** What was sent is no draft any more; false where somebody typed on since. */
function finish({ form, values }) {
  const draft = draftOf(form);
  if (draft && !same(draft, values)) return false;
  forget(form);
  return true;
}

/** The page did not take it: it becomes a draft again, the next one as soon as its form is empty. */
function giveBack({ id, form, values, page, title, next }, { error, wrong }) {
  const why = error ? wordsOf(error) : wrong || "Something in it has to be put right. Send it again to see what.";
  const typed = values.find(([name]) => name === next)?.[1]; // which of several it was
  const refused = `${typed ? `“${typed}”` : "This"} was not taken. ${why}`;
  if (draftOf(form)) keepForLater(form, id, values, refused);
  else keepAs(form, values, { refused });
  const link = document.createElement("a");
  Object.assign(link, { href: page, textContent: "Open it" });
  say(`refused ${id}`, `${title} was not taken. ${why}`, link);
}

function goTo(address) {
  const to = new URL(address, location.href);
  const here = to.pathname + to.search === location.pathname + location.search;
  location.assign(to);
  if (here) location.reload(); // another part of the same page would not be asked for
}

const wordsOf = ({ title, what, lines, do: advice }) => [`${title}.`, what, ...lines, advice].filter(Boolean).join(" ");

const send = (item) => ask(item.to, item.id, new URLSearchParams(item.body));
