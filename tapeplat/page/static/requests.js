// Asking the page for a piece of itself, or telling it something; every answer that is an error becomes an Error.

/** The session's token, which every change has to carry. */
export const token = () => document.querySelector("meta[name=csrf]").content;

/** Fetch with the headers that the page expects; returns the response, or throws an Error with words for a person.
 * Where the page says several things, the Error has each of them in its `lines`. */
export async function ask(address, options = {}) {
  const headers = { "X-Fragment": "1", ...options.headers };
  if (options.method && options.method !== "GET") headers["X-CSRF"] = token();
  let answer;
  try {
    answer = await fetch(address, { ...options, headers, credentials: "same-origin" });
  } catch (problem) {
    if (problem.name === "AbortError") throw problem;
    throw new Error("The program does not answer. Is it still running, and is this device in its network?");
  }
  if (!answer.ok) {
    const lines = await said(answer);
    throw Object.assign(new Error(lines.join(" ")), { lines });
  }
  return answer;
}

async function said(answer) {
  try {
    const { error } = await answer.json();
    return [error.title + ".", error.what, ...error.lines, error.do].filter(Boolean);
  } catch {
    return [`This did not work (${answer.status}).`];
  }
}
