// Photos: looks at what was chosen before it is sent, and keeps the queue fresh.

import { newId, keeps, owner } from "./kept/kept-store.js";
import { add } from "./kept/photo-sender.js";
import { ask } from "./requests.js";

const MOST_BYTES = 25_000_000;
const MOST_TOGETHER = 60; // photos of a whole class
const OFTEN = 1200; // ms between two looks at the queue
const form = document.getElementById("taking");
const chosen = document.getElementById("chosen");
const queue = document.getElementById("queue");
let timer;

const chosenFiles = () => [...form.querySelectorAll("input[type=file]")].flatMap((input) => [...input.files]);

function showChosen() {
  const files = chosenFiles();
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
  clearTimeout(timer);
  timer = setTimeout(refresh, busy && !document.hidden ? OFTEN : 4 * OFTEN);
}

form.addEventListener("change", showChosen);
form.addEventListener("submit", async (event) => {
  if (!keeps || event.defaultPrevented || !chosenFiles().length) return;
  event.preventDefault();
  const { pathname } = new URL(form.getAttribute("action"), location.href);
  const [team, files] = [form.team.value, chosenFiles()];
  form.querySelector("button").disabled = true; // pressed twice, they would go twice
  try {
    await add({ id: newId(), owner, at: Date.now(), to: pathname, team, files });
  } catch {
    form.submit(); // nothing can be kept in this browser: it sends them itself, while the page waits
    return;
  }
  // The next team's photos can be chosen while these are on their way; who was quicker than the browser keeps the choice.
  const now = chosenFiles();
  if (form.team.value === team && now.length === files.length && now.every((file, at) => file === files[at])) form.reset();
  showChosen();
});
document.addEventListener("photos-kept", ({ detail }) => {
  if (detail.arrived && queue) refresh();
});
window.addEventListener("pageshow", showChosen); // chosen while this script was on its way, or kept on the way back
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
