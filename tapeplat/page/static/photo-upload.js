// Photos: looks at what was chosen before it is sent, and keeps the queue fresh.

import { ask } from "./requests.js";

const MOST_BYTES = 25_000_000;
const MOST_TOGETHER = 60; // photos of a whole class
const OFTEN = 1200; // ms between two looks at the queue
const form = document.getElementById("taking");
const chosen = document.getElementById("chosen");
const queue = document.getElementById("queue");

function showChosen() {
  const files = [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);
  const most = form.team.value === "label" ? MOST_TOGETHER : Number(form.dataset.most);
  const wrong = files.some((file) => file.size > MOST_BYTES) || files.length > most;
  chosen.replaceChildren(...files.map(line));
  if (files.length > most) chosen.append(said(`These are ${files.length} photos; at most ${most} can be sent together.`, "wrong"));
  form.querySelector("button").disabled = wrong;
}

function line(file) {
  const size = `${(file.size / 1e6).toFixed(1)} MB`;
  if (file.size > MOST_BYTES) return said(`${file.name}: ${size} is too large; a photo has at most 25 MB.`, "wrong");
  return said(`${file.name}, ${size}`, "");
}

function said(text, style) {
  const item = document.createElement("li");
  item.textContent = text;
  item.className = style;
  return item;
}

async function refresh() {
  if (!queue) return;
  try {
    const html = await (await ask(queue.dataset.address)).text();
    if (html !== queue.dataset.seen && !queue.contains(document.activeElement)) {
      queue.innerHTML = html; // made and escaped by the server
      queue.dataset.seen = html;
    }
  } catch (problem) {
    queue.querySelector("h2").textContent = problem.message;
  }
  const busy = queue.querySelector("[data-busy=yes]");
  setTimeout(refresh, busy && !document.hidden ? OFTEN : 4 * OFTEN);
}

form.addEventListener("change", showChosen);
form.addEventListener("submit", () => {
  const button = form.querySelector("button");
  button.textContent = "Sending…";
  setTimeout(() => { button.disabled = true; });
});
window.addEventListener("pageshow", () => {
  form.querySelector("button").textContent = "Send and measure";
  showChosen(); // photos chosen while this script was still on its way, or kept by the browser on the way back
});
for (const name of ["dragover", "drop", "dragleave"]) {
  form.addEventListener(name, (event) => {
    event.preventDefault();
    form.classList.toggle("over", name === "dragover");
    if (name !== "drop" || !event.dataTransfer.files.length) return;
    document.getElementById("files").files = event.dataTransfer.files;
    showChosen();
  });
}
refresh();
