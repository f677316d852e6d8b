// What every page needs: the token of its forms goes along with what htmx sends.
"use strict";

document.addEventListener("htmx:config:request", (event) => {
  const token = document.body.dataset.csrf;
  if (token && event.detail && event.detail.ctx) {
    event.detail.ctx.request.headers["X-CSRF-Token"] = token;
  }
});

// Whoever is logged out leaves no pages behind on a device that others use; entries that wait stay.
if (document.querySelector('form[action="/login"]') && "caches" in window) caches.delete("laydown-press");

// What is called a button is pressed with the space bar too, links that look like one among them.
document.addEventListener("keydown", (event) => {
  if (event.key === " " && event.target.matches('a[role="button"]')) { event.preventDefault(); event.target.click(); }
});

// On a phone the row of tabs is longer than the screen; the one that is open stands in it.
const tab = document.querySelector(".tabs [aria-current]");
if (tab) tab.closest(".tabs").scrollLeft = tab.offsetLeft - 48;
