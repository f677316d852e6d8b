// What every page needs: the token of its forms goes along with what htmx sends.
"use strict";

document.addEventListener("htmx:config:request", (event) => {
  const token = document.body.dataset.csrf;
  if (token && event.detail && event.detail.ctx) {
    event.detail.ctx.request.headers["X-CSRF-Token"] = token;
  }
});
