// What stands in a form's fields, and putting it there again.

const NOT_TYPED = ["password", "file", "submit", "button", "reset", "image", "fieldset", "output", "object"];

/** The fields that are kept: all but secrets, files and the page's token. */
function fieldsOf(form) {
  const typed = (field) => field.name && field.name !== "csrf" && !NOT_TYPED.includes(field.type);
  return [...form.elements].filter((field) => typed(field) && !field.closest("[data-keep=off]"));
}

const isTick = (field) => field.type === "checkbox" || field.type === "radio";

export const valuesOf = (form) => fieldsOf(form).map((field) => (isTick(field) ? [field.name, field.value, field.checked] : [field.name, field.value]));

/** What stood there when the page came. */
export const firstValuesOf = (form) => fieldsOf(form).map((field) => (isTick(field) ? [field.name, field.value, field.defaultChecked] : [field.name, firstOf(field)]));

function firstOf(field) {
  if (!field.options) return field.defaultValue;
  return ([...field.options].find((option) => option.defaultSelected) ?? field.options[0])?.value ?? "";
}

export const same = (some, others) => JSON.stringify(some) === JSON.stringify(others);

/** Whether there is anything that somebody may type. */
export const hasFields = (form) => fieldsOf(form).some((field) => field.type !== "hidden");

/** Fill a form in. Who owns its rows is told how many of each name there have to be, and when they are filled in. */
export function fill(form, values) {
  form.dispatchEvent(new CustomEvent("kept:rows", { detail: (name) => values.filter(([other]) => other === name).length }));
  const seen = {};
  for (const [name, value, checked] of values) {
    const named = fieldsOf(form).filter((field) => field.name === name);
    if (checked !== undefined) named.filter((field) => field.value === value).forEach((field) => { field.checked = checked; });
    else {
      seen[name] = (seen[name] ?? -1) + 1;
      if (named[seen[name]]) named[seen[name]].value = value;
    }
  }
  form.dispatchEvent(new CustomEvent("kept:filled"));
}
