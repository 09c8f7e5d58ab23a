// One request that may be repeated: the page knows it by its name, and does what it asks for once.

const LONGEST = 20_000; // ms

const token = () => document.querySelector("meta[name=csrf]").content;

export const headersOf = (id) => ({ "X-CSRF": token(), "X-Sent-As": id, Accept: "application/json" });

/** Resolves to {go}: done, see there; {error}: refused in words; {page}: an answer to be looked at; {lost}: not there, or
 * not known whether it is; with busy, where others are served first. */
export async function ask(address, id, body) {
  const controller = new AbortController();
  const timer = setTimeout(() => controller.abort(), LONGEST);
  try {
    const options = { method: "POST", body, headers: headersOf(id), credentials: "same-origin", signal: controller.signal };
    const answer = await fetch(address, options);
    return answered(answer.status, await answer.text());
  } catch {
    return { lost: true };
  } finally {
    clearTimeout(timer);
  }
}

export function answered(status, text) {
  if (status === 503 || status === 0) return { lost: true, busy: status === 503 };
  try {
    const { go, error } = JSON.parse(text);
    return go || error ? { go, error } : { page: true };
  } catch {
    return { page: true };
  }
}
