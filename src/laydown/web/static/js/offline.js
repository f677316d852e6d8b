// Keeps this page and its parts on the device, so that it opens without a network. Browsers allow that over https and on
// the own machine only; elsewhere the page has to stay open while the network is gone.
"use strict";

(async () => {
  const told = document.querySelector("[data-offline]");
  const allowed = window.isSecureContext && "serviceWorker" in navigator && "caches" in window;
  if (told) told.textContent = allowed
    ? "Once opened, this page opens without the network too."
    : "Keep this page open while the network is gone: without https it cannot be opened anew then.";
  if (!allowed) return;
  await navigator.serviceWorker.register("/press/worker.js", { scope: "/press/" });
  const kept = await caches.open("laydown-press");
  const answer = await fetch(location.pathname, { headers: { Accept: "text/html" } });
  if (!answer.ok || answer.redirected) return;
  await kept.put(location.pathname, answer);
  const parts = new Set();
  for (const one of document.querySelectorAll("link[href], script[src], img[src]")) {
    const url = new URL(one.href || one.src, location.href);
    if (url.origin === location.origin && url.pathname.startsWith("/static/")) parts.add(url.href);
  }
  for (const one of await kept.keys()) {
    if (new URL(one.url).pathname.startsWith("/static/") && !parts.has(one.url)) await kept.delete(one);
  }
  for (const one of parts) if (!(await kept.match(one, { ignoreVary: true }))) await kept.add(one);
  document.documentElement.dataset.kept = "yes";
})().catch(() => { /* The network is gone already; what was kept before stays. */ });
