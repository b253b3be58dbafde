// What every page does with scripts on: nothing that it cannot do without them.

// After a fragment came in, the focus goes where the answer says: data-focus="id".
document.addEventListener("htmx:afterSettle", (event) => {
  const told = event.target.closest?.("[data-focus]") ?? event.target.querySelector?.("[data-focus]");
  const wanted = told?.dataset.focus;
  if (wanted) {
    document.getElementById(wanted)?.focus();
    delete told.dataset.focus;
  }
});

// <button data-copy="id">: the text of that element to the clipboard.
document.addEventListener("click", async (event) => {
  const button = event.target.closest("[data-copy]");
  if (!button) return;
  const source = document.getElementById(button.dataset.copy);
  const said = button.querySelector("[data-said]") ?? button;
  try {
    await navigator.clipboard.writeText(source.value ?? source.textContent);
    said.textContent = "Copied";
  } catch {
    source.select?.();
    said.textContent = "Press Ctrl+C";
  }
});

for (const button of document.querySelectorAll("[data-copy]")) button.hidden = false;

// <button data-print>: the browser's own print window.
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}

// A form with unsaved words asks before the page is left.
let unsaved = false;
document.addEventListener("input", (event) => {
  if (event.target.closest("form[data-keep]")) unsaved = true;
});
document.addEventListener("submit", () => (unsaved = false));
window.addEventListener("beforeunload", (event) => {
  if (unsaved) event.preventDefault();
});

// Live answers carry the faults of each field: the field is marked as long as one stands there.
document.addEventListener("htmx:afterSettle", () => {
  const faulty = new Set([...document.querySelectorAll("[data-faults-of]")].map((one) => one.dataset.faultsOf));
  for (const field of document.querySelectorAll("form[data-keep] [aria-describedby$='-says']")) {
    if (faulty.has(field.name)) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
});

// What is folded away on the screen is said on paper, in older browsers too.
window.addEventListener("beforeprint", () => {
  for (const one of document.querySelectorAll("details:not([open])")) {
    one.open = true;
    one.dataset.printed = "";
  }
});
window.addEventListener("afterprint", () => {
  for (const one of document.querySelectorAll("details[data-printed]")) {
    one.open = false;
    delete one.dataset.printed;
  }
});
