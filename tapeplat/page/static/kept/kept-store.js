// What this device keeps of one who is signed in: drafts of forms, and forms that wait to be sent. Everything of others
// is deleted as soon as a page is opened; so is everything where nobody is signed in, and what is older than a visit.

const NAME = "tapeplat ";
const HOURS = 12;
const UNKNOWN = "-"; // somebody whose team is not known at the moment: nothing is kept, and nothing deleted

/** Whose page this is: a team, the teacher, a phone; empty for nobody. */
export const owner = document.querySelector("meta[name=owner]")?.content ?? UNKNOWN;

const storage = usable();
/** Whether anything can be kept for whoever is asking; some browsers are told to keep nothing. */
export const keeps = Boolean(storage && owner && owner !== UNKNOWN);

export const isOld = (at) => Date.now() - at > HOURS * 3600_000;

/** A name that nobody guesses. */
export function newId() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export const read = (kind, name) => parsed(storage?.getItem(keyOf(kind, name)));

/** Keep something; false where there is no room. */
export function write(kind, name, value) {
  if (!keeps) return false;
  try {
    storage.setItem(keyOf(kind, name), JSON.stringify({ ...value, at: value.at ?? Date.now() }));
    return true;
  } catch {
    return false;
  }
}

export const remove = (kind, name) => storage?.removeItem(keyOf(kind, name));

/** All of a kind, as [name, value], the oldest first. */
export function all(kind) {
  const start = keyOf(kind, "");
  const found = names().filter((key) => key.startsWith(start)).map((key) => [key.slice(start.length), parsed(storage.getItem(key))]);
  return found.filter(([, value]) => value).sort(([, a], [, b]) => a.at - b.at);
}

/** Delete everything that this device keeps, whoever's it is. */
export const forgetAll = () => names().forEach((key) => storage.removeItem(key));

/** Delete what is not of whoever is asking now. */
export function tidy() {
  if (!storage || owner === UNKNOWN) return;
  const mine = `${NAME}${owner} `;
  names().filter((key) => !owner || !key.startsWith(mine)).forEach((key) => storage.removeItem(key));
  names().filter((key) => isOld(parsed(storage.getItem(key))?.at ?? 0)).forEach((key) => storage.removeItem(key));
}

const keyOf = (kind, name) => `${NAME}${owner} ${kind} ${name}`;
const names = () => Object.keys(storage ?? {}).filter((key) => key.startsWith(NAME));

function parsed(text) {
  try {
    return text ? JSON.parse(text) : null;
  } catch {
    return null;
  }
}

function usable() {
  try {
    localStorage.setItem(NAME, "");
    localStorage.removeItem(NAME);
    return localStorage;
  } catch {
    return null;
  }
}
