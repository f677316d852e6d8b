// Entries at the press: what a form says becomes an entry that waits until the app has it (queue.js).
"use strict";

const page = document.querySelector("[data-press]");
let queue = null;

function documentOf(kind, said) {
  const text = (said.get("text") || "").trim();
  const more = text ? { text } : {};
  if (kind === "set-up step") return { step: said.get("step"), done: said.get("done") === "yes" };
  if (kind === "strike-off") return { good: said.get("good") === "yes", ...more };
  if (kind === "count") return { pieces: Number(said.get("pieces")), ...more };
  if (kind === "misprint") return { pieces: Number(said.get("pieces")), cause: said.get("cause"), ...more };
  if (kind === "probe reading") {
    const value = Number((said.get("temperature") || "").replace(",", "."));
    return { [page.dataset.unit === "°F" ? "fahrenheit" : "celsius"]: value, ...more };
  }
  if (kind === "withdrawal") return { key: said.get("key_of") };
  return { text };
}

// What was entered is seen at once, whether or not the app has it yet.
function show(kind, made, button) {
  if (kind === "set-up step" && button) {
    button.classList.toggle("done", made.done);
    button.setAttribute("aria-pressed", String(made.done));
    button.value = made.done ? "no" : "yes";
  }
  const total = document.querySelector('[data-total="' + kind + '"]');
  if (total) total.textContent = String(Number(total.textContent) + made.pieces);
}

if (page) {
  queue = laydownQueue({
    name: "laydown-press-queue",
    notice: document.querySelector("[data-queue]"),
    sent: () => laydownFreshen(["[data-entries]", "[data-sums]"], () => !queue.waiting().length).catch(() => {}),
  });
  // What still waits is part of what was entered.
  const address = "/api/press/" + page.dataset.press + "/entries";
  for (const { url, body } of queue.waiting()) {
    const step = Array.from(page.querySelectorAll('[name="step"]')).find((one) => one.value === body.document.step);
    if (url === address) show(body.kind, body.document, step && step.form.querySelector(".step"));
  }
  document.addEventListener("submit", (event) => {
    const form = event.target.closest("[data-entry]");
    if (!form) return;
    event.preventDefault();
    const said = new FormData(form);
    if (event.submitter && event.submitter.name) said.set(event.submitter.name, event.submitter.value);
    const kind = form.dataset.entry;
    const made = documentOf(kind, said);
    if ("pieces" in made && !(Number.isInteger(made.pieces) && made.pieces > 0)) { queue.tell("A whole number of pieces is needed.", true); return; }
    if (kind === "probe reading" && !Number.isFinite(made.celsius ?? made.fahrenheit)) { queue.tell("A temperature is needed.", true); return; }
    show(kind, made, event.submitter);
    if (kind !== "set-up step") form.reset();
    queue.add(address, { key: laydownKey(), kind, document: made, happened_at: new Date().toISOString() });
  });
}
