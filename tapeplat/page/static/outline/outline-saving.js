// Sending changes to the server: the page's fragment that comes back takes the old one's place.

import { ask } from "../requests.js";

// Resolves to {html} or, where the server refuses or cannot be reached, to {lines}: what to tell the teacher.
export async function send(url, content) {
  const headers = { "Content-Type": "application/json" };
  try {
    const answer = await ask(url, { method: "POST", headers, body: JSON.stringify(content) });
    return { html: await answer.text() };
  } catch (problem) {
    return { lines: [...(problem.lines || [problem.message]), "Your changes are still here."] };
  }
}

// Put the fragment in the place of `old`; returns what took its place. Whoever keeps what is typed is told.
export function swap(old, html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const made = [...page.body.children].map((element) => document.importNode(element, true));
  old.replaceWith(...made);
  document.dispatchEvent(new CustomEvent("kept:came"));
  return made;
}
