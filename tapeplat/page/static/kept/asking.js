// One request that may be repeated: the page knows it by its name, and does what it asks for once.

const LONGEST = 20_000; // ms

const meta = (page, name) => page.querySelector(`meta[name=${name}]`);
const token = () => meta(document, "csrf").content;

export const headersOf = (id) => ({ "X-CSRF": token(), "X-Sent-As": id, Accept: "application/json" });

/** Resolves to {go}: done, see there; {error}: refused in words; {page, wrong}: a page, and what it says is wrong;
 * {lost}: not there, or not known whether it is; with busy, where others are served first. */
export async function ask(address, id, body) {
  const controller = new AbortController();
  const timer = setTimeout(() => controller.abort(), LONGEST);
  try {
    const options = { method: "POST", body, headers: headersOf(id), credentials: "same-origin", signal: controller.signal };
    const answer = await fetch(address, options);
    if (answer.status !== 403 || !(await newToken())) return answered(answer.status, await answer.text());
    const again = await fetch(address, { ...options, headers: headersOf(id) });
    return answered(again.status, await again.text());
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
    return go || error ? { go, error, forbidden: status === 403 } : { page: true, wrong: "" };
  } catch {
    return { page: true, wrong: wrongIn(text) };
  }
}

const parsed = (text) => new DOMParser().parseFromString(text, "text/html");

/** What stands beside the fields of a page with a form that it did not take. */
const wrongIn = (text) => [...parsed(text).querySelectorAll("p.wrong")].map((line) => line.textContent.trim()).join(" ");

/** Ask for the token anew, as the page that is shown may be older than the session; false where somebody else is signed in. */
export async function newToken() {
  try {
    const page = parsed(await (await fetch(location.href, { credentials: "same-origin" })).text());
    if (meta(page, "owner")?.content !== meta(document, "owner")?.content) return false;
    const [old, now] = [token(), meta(page, "csrf").content];
    meta(document, "csrf").content = now;
    return now !== old;
  } catch {
    return false;
  }
}
