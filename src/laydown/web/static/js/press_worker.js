// Pages at the press open without a network once they were opened with it. Runs beside the pages, for /press/ only.
"use strict";

const KEPT = "laydown-press";
const PATIENCE_MS = 5000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(part(request));
  else if (request.mode === "navigate" && /^\/press\/\d+$/.test(url.pathname)) event.respondWith(page(request, url.pathname));
});

// Their addresses change with their content, so what is kept is right.
async function part(request) {
  return (await caches.match(request, { ignoreVary: true })) || fetch(request);
}

// The app's own answer whenever it comes; what was kept when it does not come at all or not in time.
async function page(request, path) {
  const kept = await (await caches.open(KEPT)).match(path, { ignoreVary: true });
  const fresh = fetch(request);
  if (!kept) return fresh.catch(never);
  const late = new Promise((resolve) => { setTimeout(resolve, PATIENCE_MS, kept); });
  return Promise.race([fresh.catch(() => kept), late]);
}

function never() {
  const words = "The app cannot be reached, and this order was not opened on this device before. Come back to it when the network is back.";
  return new Response(words, { status: 503, headers: { "Content-Type": "text/plain; charset=utf-8" } });
}
