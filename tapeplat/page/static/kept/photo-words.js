// What becomes of photos that wait on this device, in words: as a list on the page of photos, as one line on all others.

import { again, remove, states } from "./photo-sender.js";
import { say, unsay } from "./kept-notes.js";

const mb = (bytes) => (bytes / 1e6).toFixed(1);
const photos = (count) => (count === 1 ? "1 photo" : `${count} photos`);
const whose = ({ team }) => (team === "label" ? "The whole class" : `Team ${team}`);

function wordsOf(model) {
  const { state, sent, bytes, count, lines } = model;
  const start = `${whose(model)}, ${photos(count)}:`;
  if (state === "refused") return `${start} not taken in. ${lines.join(" ")}`;
  if (state === "lost") return `${start} no connection. Kept on this device; it is tried again by itself.`;
  if (state === "busy") return `${start} others are sending photos at the moment; it is tried again by itself.`;
  if (state === "waiting") return `${start} next in line.`;
  return sent >= bytes ? `${start} arrived, being looked at.` : `${start} ${mb(sent)} of ${mb(bytes)} MB are sent.`;
}

/** Keep the words fresh, in this list or, where the page has none, in a line at its top. */
export function tell(list) {
  const show = () => (list ? list.replaceChildren(...states().map(item)) : oneLine());
  document.addEventListener("photos-kept", show);
  show();
}

function oneLine() {
  const all = states();
  if (!all.length) return unsay("photos");
  const [first] = all;
  const more = all.length > 1 ? ` ${all.length - 1} more to send after that.` : "";
  return say("photos", `Photos: ${wordsOf(first)}${more}`);
}

function item(model) {
  const made = document.createElement("li");
  const words = document.createElement("p");
  words.textContent = wordsOf(model);
  made.append(words);
  if (model.state !== "refused") return made;
  words.className = "wrong";
  const row = document.createElement("div");
  row.className = "row";
  row.append(button("Send again", () => again(model.id)), button("Take off this list", () => remove(model.id)));
  made.append(row);
  return made;
}

function button(text, act) {
  const made = document.createElement("button");
  Object.assign(made, { type: "button", className: "button quiet", textContent: text });
  made.addEventListener("click", act);
  return made;
}
