// The challenge's form: rows come and go without a new page, and each rule's reading follows what is typed.

import { keeps } from "./kept/kept-store.js";
import { ask } from "./requests.js";

const PAUSE = 250; // ms without a key before the rules are read
const FIRST = "input:not([type=hidden]), textarea";
const form = document.getElementById("challenge");
const together = document.getElementById("together");
let timer, running, changed = false, count = 1000;

function addRow(list) {
  const row = document.getElementById(`${list.id}-row`).content.firstElementChild.cloneNode(true);
  const mine = `${count++}`;
  for (const element of row.querySelectorAll("[id], [for], [aria-describedby]")) {
    for (const name of ["id", "for", "aria-describedby"]) {
      if (element.hasAttribute(name)) element.setAttribute(name, element.getAttribute(name).replaceAll("_new", `_${mine}`));
    }
  }
  list.append(row);
  prepare(row);
  const box = row.querySelector("select[name=zone_swatch]");
  if (box) box.value = `${Math.min(8, list.children.length)}`;
  return row;
}

const addAndType = (list) => addRow(list).querySelector(FIRST).focus();

function removeRow(row) {
  const next = row.nextElementSibling ?? row.previousElementSibling;
  const list = row.parentElement;
  row.remove();
  (next?.querySelector(FIRST) ?? document.querySelector(`[data-add=${list.id}]`)).focus();
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

/** So many rows a list has to have: a draft is filled in. */
function makeRows(list, count) {
  while (list.children.length < count) addRow(list);
  [...list.children].slice(count).forEach((row) => row.remove());
}

function prepare(row) {
  for (const button of row.querySelectorAll("[data-remove]")) {
    button.hidden = false;
    button.addEventListener("click", () => removeRow(row));
  }
}

function soon() {
  changed = true;
  clearTimeout(timer);
  timer = setTimeout(read, PAUSE);
}

async function read() {
  running?.abort();
  running = new AbortController();
  const filled = [...form.querySelectorAll("#rules > li")].filter((row) => row.querySelector("textarea").value.trim());
  try {
    const answer = await ask(form.dataset.reading, { method: "POST", body: new FormData(form), signal: running.signal });
    const found = await answer.json();
    for (const row of form.querySelectorAll("#rules > li")) show(row, "");
    filled.forEach((row, at) => show(row, found.readings[at] ?? ""));
    together.innerHTML = found.together;
  } catch (problem) {
    if (problem.name !== "AbortError") together.textContent = problem.message;
  }
}

/** Put a reading, which the server made and escaped, below its rule. */
function show(row, html) {
  const reading = row.querySelector(".reading");
  if (reading.innerHTML !== html) reading.innerHTML = html;
  row.querySelector("textarea").setAttribute("aria-invalid", `${Boolean(reading.querySelector(".wrong"))}`);
}

async function askSolvable() {
  const answer = document.getElementById("solvable");
  try {
    answer.innerHTML = await (await ask(answer.dataset.address, { method: "POST", body: new FormData(form) })).text();
  } catch (problem) {
    answer.textContent = problem.message;
  }
}

const askButton = document.getElementById("ask-solvable");
askButton.hidden = false;
askButton.addEventListener("click", askSolvable);
for (const row of form.querySelectorAll("[data-row]")) prepare(row);
for (const button of form.querySelectorAll("[data-add]")) {
  button.addEventListener("click", (event) => {
    event.preventDefault();
    addAndType(document.getElementById(button.dataset.add));
  });
}
form.addEventListener("input", soon);
form.addEventListener("click", (event) => {
  const offer = event.target.closest("[data-write]");
  if (!offer) return;
  const rule = offer.closest("li[data-row]").querySelector("textarea"); // what is offered takes the rule's place
  rule.value = offer.dataset.write;
  rule.focus();
  rule.dispatchEvent(new Event("input", { bubbles: true }));
});
form.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || event.target.name !== "rule") return;
  event.preventDefault(); // Enter in a rule begins the next one, as in a list
  const row = event.target.closest("li");
  if (row.nextElementSibling) row.nextElementSibling.querySelector("textarea").focus();
  else addAndType(row.parentElement);
});
form.addEventListener("kept:rows", ({ detail }) => {
  makeRows(document.getElementById("zones"), detail("zone_name"));
  makeRows(document.getElementById("lines"), detail("line_name"));
  makeRows(document.getElementById("rules"), detail("rule"));
});
form.addEventListener("kept:filled", soon);
form.addEventListener("submit", () => { changed = false; });
window.addEventListener("beforeunload", (event) => { if (changed && !keeps) event.preventDefault(); });
