// One more row in the table of structures, without a new page: a copy of the last one, its sizes empty.

document.addEventListener("kept:rows", ({ target, detail }) => {
  const body = target.querySelector("[data-add-row]") && target.querySelector("tbody");
  while (body && body.children.length < detail("s_zone")) body.append(body.lastElementChild.cloneNode(true));
}, true);

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-add-row]");
  if (!button) return;
  event.preventDefault();
  const body = button.closest("form").querySelector("tbody");
  const row = body.lastElementChild.cloneNode(true);
  for (const input of row.querySelectorAll("input")) if (!["s_count", "s_division"].includes(input.name)) input.value = "";
  row.querySelectorAll("select").forEach((select, at) => { select.value = body.lastElementChild.querySelectorAll("select")[at].value; });
  body.append(row);
  row.querySelector("select").focus();
});
