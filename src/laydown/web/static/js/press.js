// Entries at the press wait here until the app has them. Each has a key of its own, so one that is sent twice is kept once.
"use strict";

const STORE = "laydown-press-queue";
const page = document.querySelector("[data-press]");
const notice = document.querySelector("[data-queue]");
let sending = false;
let sent = 0;

function waiting() {
  try { return JSON.parse(localStorage.getItem(STORE)) || []; } catch { return []; }
}

function keep(entries) { localStorage.setItem(STORE, JSON.stringify(entries)); }

function drop(key) { keep(waiting().filter((one) => one.key !== key)); }

function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (one) => one.toString(16).padStart(2, "0")).join("");
}

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

function tell(words, bad) {
  notice.hidden = !words;
  notice.textContent = words;
  notice.classList.toggle("bad", Boolean(bad));
  notice.classList.toggle("warn", !bad);
}

function tellWaiting() {
  const number = waiting().length;
  tell(number ? number + (number === 1 ? " entry waits" : " entries wait") + " here until the app can be reached; keep this page open, or open it again on this tablet." : "", false);
}

async function freshToken() {
  const answer = await fetch(location.pathname, { headers: { Accept: "text/html" } });
  const found = /data-csrf="([^"]*)"/.exec(await answer.text());
  if (found) document.body.dataset.csrf = found[1];
  return Boolean(found);
}

async function post(one) {
  return fetch("/api/press/" + one.order + "/entries", {
    method: "POST",
    headers: { "Content-Type": "application/json", "X-CSRF-Token": document.body.dataset.csrf || "" },
    body: JSON.stringify({ key: one.key, kind: one.kind, document: one.document, happened_at: one.happened_at }),
  });
}

async function send() {
  if (sending) return;
  sending = true;
  let refused = "";
  try {
    for (const one of waiting()) {
      let answer = await post(one);
      if (answer.status === 403 && (await freshToken())) answer = await post(one);
      if (answer.ok) { drop(one.key); sent += 1; continue; }
      if (answer.status === 401) { refused = "Log in again on this tablet; what you entered waits here."; break; }
      if (answer.status >= 500 || answer.status === 429 || answer.status === 408) break;
      const said = await answer.json().catch(() => ({ what: "it was refused" }));
      drop(one.key);
      refused = "Not kept: " + (said.what || "it was refused") + ".";
    }
  } catch {
    // The network is gone; what waits is sent later.
  }
  sending = false;
  if (refused) tell(refused, true);
  else if (waiting().length) tellWaiting();
  else tellWaiting();
  if (sent) { sent = 0; freshen().catch(() => {}); }
}

// The list and the sums as the app has them; fields that somebody is filling in stay as they are.
async function freshen() {
  const answer = await fetch(location.pathname, { headers: { Accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (waiting().length) return;
  for (const part of ["[data-entries]", "[data-sums]"]) {
    const now = document.querySelector(part);
    const then = fresh.querySelector(part);
    if (now && then) now.replaceWith(document.importNode(then, true));
  }
}

if (page) {
  document.addEventListener("submit", (event) => {
    const form = event.target.closest("[data-entry]");
    if (!form) return;
    event.preventDefault();
    const said = new FormData(form);
    if (event.submitter && event.submitter.name) said.set(event.submitter.name, event.submitter.value);
    const kind = form.dataset.entry;
    const made = documentOf(kind, said);
    if ("pieces" in made && !(Number.isInteger(made.pieces) && made.pieces > 0)) { tell("A whole number of pieces is needed.", true); return; }
    if (kind === "probe reading" && !Number.isFinite(made.celsius ?? made.fahrenheit)) { tell("A temperature is needed.", true); return; }
    keep([...waiting(), { order: Number(page.dataset.press), key: newKey(), kind, document: made, happened_at: new Date().toISOString() }]);
    show(kind, made, event.submitter);
    if (kind !== "set-up step") form.reset();
    send();
  });
  window.addEventListener("online", send);
  setInterval(() => { if (waiting().length) send(); }, 5000);
  if (waiting().length) send();
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
  tellWaiting();
}
