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
    if (event.dataTransfer.files.length) { input.files = event.dataTransfer.files; nameOrder(input); }
  });
  input.addEventListener("change", () => nameOrder(input));
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
