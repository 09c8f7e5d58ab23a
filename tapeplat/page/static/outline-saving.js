// Sending changes to the server: the page's fragment that comes back takes the old one's place.

// Resolves to {html} or, where the server refuses or cannot be reached, to {lines}: what to tell the teacher.
export async function send(url, csrf, content) {
  let answer;
  try {
    answer = await fetch(url, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRF": csrf, "X-Fragment": "1" },
      body: JSON.stringify(content),
    });
  } catch {
    return { lines: ["The program does not answer. Is it still running? Your changes are still here; try again."] };
  }
  const text = await answer.text();
  return answer.ok ? { html: text } : { lines: refusal(text, answer.status) };
}

function refusal(text, status) {
  try {
    const { title, what, do: then, lines = [] } = JSON.parse(text).error;
    return [title, what, ...lines, then].filter(Boolean);
  } catch {
    const page = new DOMParser().parseFromString(text, "text/html");
    const said = (page.querySelector("main") || page.body).textContent.trim();
    return [said || `The program refused this (${status}).`];
  }
}

// Put the fragment in the place of `old`; returns what took its place.
export function swap(old, html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const made = [...page.body.children].map((element) => document.importNode(element, true));
  old.replaceWith(...made);
  return made;
}
