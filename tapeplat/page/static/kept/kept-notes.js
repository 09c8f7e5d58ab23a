// Lines at the top of the page that say what is kept on the device and what becomes of it.

const place = () => document.getElementById("kept");

/** Say something under a name, in place of what was said under it before; with a button where there is one. */
export function say(name, text, ...buttons) {
  const there = lineOf(name);
  if (there?.dataset.text === text) return;
  const line = document.createElement("div");
  line.className = "note kept-line";
  Object.assign(line.dataset, { name, text });
  const words = document.createElement("p");
  words.textContent = text;
  line.append(words, ...buttons);
  if (there) there.replaceWith(line);
  else place()?.append(line);
}

export const unsay = (name) => lineOf(name)?.remove();

const lineOf = (name) => [...(place()?.children ?? [])].find((line) => line.dataset.name === name);
