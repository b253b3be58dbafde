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

// <button data-print>: the browser's own print window.
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}

// A form with unsaved words asks before the page is left.
for (const form of document.querySelectorAll("form[data-keep]")) {
  let changed = false;
  form.addEventListener("input", () => (changed = true));
  form.addEventListener("submit", () => (changed = false));
  window.addEventListener("beforeunload", (event) => {
    if (changed) event.preventDefault();
  });
}
