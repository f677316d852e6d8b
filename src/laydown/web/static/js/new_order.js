// Art is dropped onto its box; without this script it is chosen there.
"use strict";

for (const box of document.querySelectorAll("[data-drop]")) {
  const input = box.querySelector('input[type="file"]');
  for (const name of ["dragenter", "dragover"]) {
    box.addEventListener(name, (event) => { event.preventDefault(); box.classList.add("over"); });
  }
  for (const name of ["dragleave", "drop"]) {
    box.addEventListener(name, () => box.classList.remove("over"));
  }
  box.addEventListener("drop", (event) => {
    event.preventDefault();
    if (event.dataTransfer.files.length) { input.files = event.dataTransfer.files; taken(box, input); }
  });
  input.addEventListener("change", () => taken(box, input));
  // Whoever was quicker than this script has chosen already.
  if (input.files.length) taken(box, input);
}

// Art is sent as soon as it is there, so that a file that cannot be read is told at once. If that fails, it goes with the form.
async function taken(box, input) {
  nameOrder(input);
  const file = input.files[0];
  if (!file) return;
  const place = box.querySelector("[data-look]");
  place.setAttribute("aria-busy", "true");
  const said = new FormData();
  said.append("print", box.dataset.drop);
  said.append("file", file);
  try {
    const answer = await fetch("/orders/new/art", { method: "POST", body: said, headers: { "X-CSRF-Token": document.body.dataset.csrf } });
    if (input.files[0] === file && (answer.ok || answer.status === 422)) {
      place.innerHTML = await answer.text();
      input.value = "";
      box.classList.toggle("wrong", !answer.ok);
      if (answer.ok) input.removeAttribute("aria-invalid"); else input.setAttribute("aria-invalid", "true");
    }
  } catch (error) { /* The form sends it. */ }
  place.removeAttribute("aria-busy");
}

// The order is called like its art until somebody calls it something else.
function nameOrder(input) {
  const name = document.getElementById("name");
  if (name && !name.value && input.files.length) {
    name.value = input.files[0].name.replace(/\.[^.]*$/, "").replace(/[-_]+/g, " ").slice(0, 80);
  }
}

// A garment that is not on the shelf needs to be described.
const garment = document.getElementById("garment");
const details = document.getElementById("label-details");
if (garment && details) {
  const known = new Set(Array.from(document.querySelectorAll("#garments option"), (one) => one.value.toLowerCase()));
  const look = () => { const said = garment.value.trim().toLowerCase(); if (said && !known.has(said)) details.open = true; };
  garment.addEventListener("change", look);
}
