// What is entered waits here until the app has it. Each entry has a key of its own, so one that is sent twice is kept once.
"use strict";

// name: of the store in the browser; notice: where it is told; sent: called when the app took something.
function laydownQueue({ name, notice, sent }) {
  let sending = false;

  function waiting() {
    try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; }
  }
  function keep(entries) { localStorage.setItem(name, JSON.stringify(entries)); }
  function drop(key) { keep(waiting().filter((one) => one.body.key !== key)); }

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
    return fetch(one.url, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-CSRF-Token": document.body.dataset.csrf || "" },
      body: JSON.stringify(one.body),
    });
  }

  async function send() {
    if (sending) return;
    sending = true;
    let refused = "";
    let taken = 0;
    try {
      for (const one of waiting()) {
        let answer = await post(one);
        if (answer.status === 403 && (await freshToken())) answer = await post(one);
        if (answer.ok) { drop(one.body.key); taken += 1; continue; }
        if (answer.status === 401) { refused = "Log in again on this tablet; what you entered waits here."; break; }
        if (answer.status >= 500 || answer.status === 429 || answer.status === 408) break;
        const said = await answer.json().catch(() => ({ what: "it was refused" }));
        drop(one.body.key);
        refused = "Not kept: " + (said.what || "it was refused") + ".";
      }
    } catch {
      // The network is gone; what waits is sent later.
    }
    sending = false;
    if (refused) tell(refused, true);
    else tellWaiting();
    // What was refused was shown as if it counted; the page takes it back.
    if (taken || refused) sent();
  }

  window.addEventListener("online", send);
  setInterval(() => { if (waiting().length) send(); }, 5000);
  if (waiting().length) send();
  return {
    waiting, tell, tellWaiting,
    add(url, body) { keep([...waiting(), { url, body }]); tellWaiting(); send(); },
  };
}

function laydownKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (one) => one.toString(16).padStart(2, "0")).join("");
}

// Parts of the page as the app has them by now; fields that somebody is filling in stay as they are.
async function laydownFreshen(parts, still) {
  const answer = await fetch(location.pathname, { headers: { Accept: "text/html" } });
  if (!answer.ok) return;
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (!still()) return;
  for (const part of parts) {
    const now = document.querySelector(part);
    const then = fresh.querySelector(part);
    if (now && then) now.replaceWith(document.importNode(then, true));
  }
}
