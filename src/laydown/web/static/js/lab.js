// Readings at the bench wait in the page until the app has them (queue.js); a photo is sent at once, as it is too large to wait.
"use strict";

const bench = document.querySelector("[data-swatch]");
let queue = null;

function fieldsOf(said) {
  const fields = {};
  for (const [name, value] of said.entries()) if (typeof value === "string") fields[name] = value;
  return fields;
}

async function photoOf(file) {
  const body = new FormData();
  body.set("file", file);
  const answer = await fetch("/api/lab/photos", {
    method: "POST",
    headers: { "X-CSRF-Token": document.body.dataset.csrf || "" },
    body,
  });
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(said.what || "the photo was refused");
  return said.sha256;
}

async function enter(form, button) {
  const said = new FormData(form);
  if (button && button.name) said.set(button.name, button.value);
  const number = bench.dataset.swatch;
  const now = new Date().toISOString();
  if (form.dataset.entry === "step") {
    const done = said.get("done") === "yes";
    button.classList.toggle("done", done);
    button.setAttribute("aria-pressed", String(done));
    button.value = done ? "no" : "yes";
    queue.add("/api/lab/swatches/" + number + "/steps", { key: laydownKey(), step: Number(said.get("step")), done, happened_at: now });
    return;
  }
  const photo = said.get("photo");
  if (photo instanceof File) {
    if (!photo.size) { queue.tell("Choose a photo first.", true); return; }
    try { said.set("photo", await photoOf(photo)); } catch (error) {
      queue.tell("The photo was not kept: " + (error.message || "the app cannot be reached") + ". Send it again when the network is back.", true);
      return;
    }
  }
  const fields = fieldsOf(said);
  queue.add("/api/lab/swatches/" + number + "/readings", {
    key: laydownKey(), reads: fields.reads, part: fields.part || "", area: fields.area || "", note: fields.note || "",
    operator: fields.operator || "", taken_at: now, fields,
  });
  for (const name of ["lightness", "a", "b", "spectrum", "mass", "temperature", "tone", "note", "photo"]) {
    const field = form.elements[name];
    if (field && !(field instanceof RadioNodeList)) field.value = "";
  }
  const first = form.querySelector("input:not([type=hidden]), textarea");
  if (first && document.contains(form)) first.focus();
}

if (bench) {
  queue = laydownQueue({
    name: "laydown-lab-queue",
    notice: document.querySelector("[data-queue]"),
    sent: () => laydownFreshen(["[data-readings]", "[data-due]"], () => !queue.waiting().length).catch(() => {}),
  });
  document.addEventListener("submit", (event) => {
    const form = event.target.closest("[data-entry]");
    if (!form) return;
    event.preventDefault();
    enter(form, event.submitter);
  });
}
