/* Minutes: asks when nothing was done for long, and lets a scanned command work on the open sheet. */
"use strict";
(() => {
  if (document.documentElement.dataset.minutesHeard) return;
  document.documentElement.dataset.minutesHeard = "yes";

  /* ---- still on it? ---- */
  for (const ask of document.querySelectorAll("[data-idle-at][hidden]")) {
    const look = () => {
      if (Date.now() < Date.parse(ask.dataset.idleAt)) return;
      ask.hidden = false;
      clearInterval(timer);
    };
    // A machine that slept wakes in the middle: the clock is looked at, not counted.
    const timer = setInterval(look, 15000);
    look();
  }
  /* a deed that is kept by script is a deed too */
  document.addEventListener("bench:kept", () => {
    for (const ask of document.querySelectorAll("[data-idle-at][hidden]")) ask.dataset.idleAt = new Date(Date.now() + 20 * 60000).toISOString();
  });

  /* ---- GO-LOOK, GO-REPAIR, GO-TEST, GO-TALK, GO-STOP from the printed card ---- */
  document.addEventListener("bench:scan", (event) => {
    const told = /^GO-(LOOK|REPAIR|TEST|TALK|STOP)$/.exec(String(event.detail).toUpperCase());
    const form = told && document.querySelector("form[data-minutes]");
    if (!form) return;
    event.preventDefault();
    const go = Object.assign(document.createElement("input"), { type: "hidden", name: "go", value: told[1] === "STOP" ? "stop" : "start" });
    if (told[1] !== "STOP") form.elements.kind.value = told[1].toLowerCase();
    form.append(go);
    form.requestSubmit();
  });
})();
