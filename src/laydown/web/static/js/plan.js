// The plan: what if as one types, a slider for the days, the table of the others.
"use strict";

for (const form of document.querySelectorAll("[data-what-if]")) {
  const place = form.closest(".what-if").querySelector("[data-forecast]");
  let timer = 0;
  let running = null;
  const ask = async () => {
    if (running) running.abort();
    running = new AbortController();
    const mine = running;
    place.setAttribute("aria-busy", "true");
    const said = new FormData(form);
    said.append("part", "1");
    said.delete("reason");
    try {
      const answer = await fetch(form.action.split("#")[0], { method: "POST", body: said, signal: mine.signal, headers: { "X-CSRF-Token": document.body.dataset.csrf } });
      const text = await answer.text();
      if (mine !== running) return;
      if (answer.headers.get("content-type").startsWith("text/html") && (answer.ok || answer.status === 422)) {
        place.innerHTML = text;
      } else {
        tell(place, "The forecast could not be made; try again in a moment.");
      }
    } catch (error) {
      if (error.name !== "AbortError" && mine === running) tell(place, "The app cannot be reached; try again in a moment.");
    }
    if (mine === running) place.removeAttribute("aria-busy");
  };
  const soon = (wait) => { clearTimeout(timer); timer = setTimeout(ask, wait); };
  form.addEventListener("input", (event) => { if (event.target.name !== "reason") soon(event.target.tagName === "SELECT" ? 0 : 250); });
  form.addEventListener("reset", () => soon(0));
  form.addEventListener("submit", (event) => {
    if (event.submitter && event.submitter.hasAttribute("formaction")) return;
    event.preventDefault();
    soon(0);
  });
}

function tell(place, words) {
  const said = document.createElement("p");
  said.className = "notice bad";
  said.setAttribute("role", "alert");
  said.textContent = words;
  place.replaceChildren(said);
}

// Any day: on a day that was computed its picture, between two of them both laid over each other.
for (const box of document.querySelectorAll("[data-days]")) {
  const form = box.querySelector(".day-form");
  const stage = box.querySelector(".days");
  if (!form || !stage) continue;
  const select = form.querySelector("select");
  const first = box.querySelector("[data-today]").cloneNode(true);
  first.dataset.day = "0";
  stage.prepend(first);
  const known = Array.from(stage.querySelectorAll("[data-day]"), (figure) => ({ figure, day: Number(figure.dataset.day), words: figure.querySelector("figcaption").textContent }));
  for (const one of known) one.figure.querySelector("figcaption").remove();
  const caption = document.createElement("p");
  caption.className = "day-words";
  stage.classList.add("laid-over");
  stage.after(caption);
  const side = document.createElement("div");
  stage.replaceWith(side);
  side.append(stage, caption);

  const slider = document.createElement("input");
  slider.type = "range";
  slider.min = "0";
  slider.max = String(known[known.length - 1].day);
  slider.value = select.value;
  slider.id = select.id;
  const said = document.createElement("output");
  said.setAttribute("for", slider.id);
  const show = () => {
    const day = Number(slider.value);
    const next = known.findIndex((one) => one.day >= day);
    const after = known[next];
    const before = after.day === day ? after : known[next - 1];
    const share = before === after ? 0 : (day - before.day) / (after.day - before.day);
    for (const one of known) {
      one.figure.hidden = one !== before && one !== after;
      one.figure.style.opacity = one === after && one !== before ? String(share) : "1";
      one.figure.ariaHidden = one === after && one !== before ? "true" : null;
    }
    said.textContent = "day " + day;
    slider.setAttribute("aria-valuetext", "day " + day + (share ? ", blended from day " + before.day + " and day " + after.day : ""));
    caption.textContent = share ? "Day " + day + ": blended from day " + before.day + " and day " + after.day + "; only those were computed." : before.words;
  };
  const load = () => { for (const one of stage.querySelectorAll("img")) one.loading = "eager"; };
  for (const name of ["focus", "pointerenter", "touchstart"]) slider.addEventListener(name, load, { once: true, passive: true });
  slider.addEventListener("input", show);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.querySelector("button").remove();
  select.replaceWith(slider, said);
  show();
}

for (const form of document.querySelectorAll("[data-losers]")) {
  const part = form.closest(".losers");
  const rows = part.querySelector("[data-rows]");
  let timer = 0;
  let running = null;
  const ask = async () => {
    if (running) running.abort();
    running = new AbortController();
    const mine = running;
    const wanted = new URLSearchParams({ q: form.elements.q.value, sort: form.elements.sort.value, others: part.dataset.print });
    try {
      const answer = await fetch(form.action.split("#")[0] + "?" + wanted, { signal: mine.signal });
      const text = await answer.text();
      if (mine === running && answer.ok) rows.innerHTML = text;
    } catch (error) {
      if (error.name !== "AbortError" && mine === running) tell(rows, "The app cannot be reached; try again in a moment.");
    }
  };
  const soon = (wait) => { clearTimeout(timer); timer = setTimeout(ask, wait); };
  form.elements.q.addEventListener("input", () => soon(200));
  form.elements.sort.addEventListener("change", () => soon(0));
  form.addEventListener("submit", (event) => { event.preventDefault(); soon(0); });
}
