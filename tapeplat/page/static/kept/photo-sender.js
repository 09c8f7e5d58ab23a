// Sends photos in the background, one model after the other, again and again until they have arrived.

import { answered, headersOf, newToken } from "./asking.js";
import { newId } from "./kept-store.js";
import { dropModel, keepModel, keptModels } from "./photo-store.js";

const STALLED = 45_000; // ms without a byte of a photo
const ANSWER = 240_000; // ms for looking at photos that have arrived
const PAUSES = [2000, 4000, 8000, 15_000]; // ms before the next try
const TURN = "tapeplat-sending"; // which of several open pages sends
const me = newId();
let models = [], running = null, tries = 0, wake;

/** What there is to say of each model: {id, team, count, bytes, sent, state, lines}. */
export const states = () => models.map(({ id, team, files, refused }) => ({
  id, team, count: files.length, bytes: sizeOf(files), lines: refused ?? [],
  state: refused ? "refused" : running?.id === id ? "sending" : running?.lost ?? "waiting", sent: running?.id === id ? running.sent : 0,
}));

const sizeOf = (files) => files.reduce((sum, file) => sum + file.size, 0);
const changed = (detail = {}) => document.dispatchEvent(new CustomEvent("photos-kept", { detail }));

export async function add(model) {
  await keepModel(model);
  await look();
  wake?.();
}

export async function remove(id) {
  await dropModel(id);
  await look();
}

export async function again(id) {
  const model = models.find((other) => other.id === id);
  if (model) await keepModel({ ...model, refused: undefined });
  await look();
  wake?.();
}

async function look() {
  models = await keptModels();
  changed();
}

/** Go on for as long as the page is open. */
export async function start() {
  window.addEventListener("online", () => wake?.());
  window.addEventListener("pagehide", () => localStorage.getItem(TURN)?.startsWith(me) && localStorage.removeItem(TURN));
  for (;;) {
    await look();
    const next = models.find(({ refused }) => !refused);
    if (next && isMyTurn()) await sendOne(next);
    else await pause(next ? PAUSES[0] : 60_000);
  }
}

async function sendOne(model) {
  running = { id: model.id, sent: 0 };
  changed();
  const turn = setInterval(isMyTurn, 2000);
  const progress = (bytes) => {
    running.sent = bytes;
    changed();
  };
  let answer = await sent(model, progress);
  if (answer.forbidden && (await newToken())) answer = await sent(model, progress);
  clearInterval(turn);
  if (answer.lost) return lost(answer.busy);
  [running, tries] = [null, 0];
  if (answer.go) await dropModel(model.id);
  else await keepModel({ ...model, refused: linesOf(answer) });
  await look();
  return changed({ arrived: answer.go, model });
}

async function lost(busy) {
  running = { lost: busy ? "busy" : "lost" };
  changed();
  await pause(PAUSES[Math.min(tries, PAUSES.length - 1)]);
  tries += 1;
}

const linesOf = ({ error }) => (error ? [error.what, ...error.lines, error.do].filter(Boolean) : ["The page did not take this."]);

/** One page sends at a time; the others wait until it is closed. */
function isMyTurn() {
  const [whose, at] = (localStorage.getItem(TURN) ?? " 0").split(" ");
  if (whose && whose !== me && Date.now() - Number(at) < 6000) return false;
  localStorage.setItem(TURN, `${me} ${Date.now()}`);
  return true;
}

function pause(ms) {
  return new Promise((resolve) => {
    wake = resolve;
    setTimeout(resolve, ms);
  });
}

// By XMLHttpRequest, as it says how much has been sent.
function sent(model, progress) {
  return new Promise((resolve) => {
    const asked = new XMLHttpRequest();
    let timer;
    const within = (ms) => {
      clearTimeout(timer);
      timer = setTimeout(() => asked.abort(), ms);
    };
    asked.upload.onprogress = ({ loaded }) => {
      within(STALLED);
      progress(loaded);
    };
    asked.upload.onload = () => within(ANSWER);
    asked.onloadend = () => {
      clearTimeout(timer);
      resolve(answered(asked.status, asked.responseText));
    };
    asked.open("POST", model.to);
    for (const [name, value] of Object.entries(headersOf(model.id))) asked.setRequestHeader(name, value);
    within(STALLED);
    asked.send(formOf(model));
  });
}

function formOf({ team, files }) {
  const form = new FormData();
  form.set("team", team);
  for (const file of files) form.append("photos", file, file.name);
  return form;
}
