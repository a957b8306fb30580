/* The reading line: said back while it is typed, written by Enter without a new page, kept on this machine until it stands.
   Each line is laid into this machine's store the moment Enter is pressed and leaves it only when the shop has it; its key
   makes a second sending harmless. Without script the form works by itself: one press says the line back, one writes it. */
"use strict";
(() => {
  const sheet = document.querySelector("[data-sheet]");
  if (!sheet) return;
  const CODE = sheet.dataset.sheet, KEPT = `bench:line:${CODE}:`, HALF = `bench:half:${CODE}`;
  const LATEST = 8000, RETRY = 3000, PAUSE = 150;
  // What belongs to one reading only; the rest stays for the next one.
  const ONCE = ["line", "low", "high", "expected_from", "nominal", "verdict", "verdict_why", "instead_of", "echoed"];
  const form = document.querySelector("form[data-reading]");
  const store = {
    all() {
      const found = [];
      try {
        for (const name of Object.keys(localStorage)) {
          if (name.startsWith(KEPT)) found.push(JSON.parse(localStorage.getItem(name)));
        }
      } catch { /* a browser may forbid it */ }
      return found.filter((item) => item && item.key && item.fields).sort((one, other) => one.at - other.at);
    },
    put(item) {
      const { key, fields, url, understood, at } = item;
      try { localStorage.setItem(KEPT + key, JSON.stringify({ key, fields, url, understood, at })); } catch { /* it stays on the page */ }
    },
    drop(item) { try { localStorage.removeItem(KEPT + item.key); } catch { /* nothing was kept */ } },
    half(text) { try { if (text) localStorage.setItem(HALF, text); else localStorage.removeItem(HALF); } catch { /* typed again then */ } },
  };
  class Lost extends Error {}

  /* ---- asking the shop ---- */
  async function ask(address, options = {}) {
    const stop = new AbortController();
    const late = setTimeout(() => stop.abort(), LATEST);
    try {
      const answer = await fetch(address, { credentials: "same-origin", redirect: "manual", signal: stop.signal, headers: { "X-Requested-With": "benchpost" }, ...options });
      if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) throw new Lost("Signed out. Sign in again and load this page; the lines stay here.");
      if (!answer.ok) throw new Lost("The shop did not answer as it should.");
      return await answer.json();
    } catch (fault) {
      throw fault instanceof Lost ? fault : new Lost("No connection.");
    } finally { clearTimeout(late); }
  }
  const hear = (understood, fields) => ask(`${understood}?${new URLSearchParams(fields)}`);
  const token = () => document.querySelector("[name=csrfmiddlewaretoken]")?.value || "";
  const write = (item) => ask(item.url, { method: "POST", body: new URLSearchParams({ ...item.fields, key: item.key, echoed: item.sentence, csrfmiddlewaretoken: token() }) });
  function newKey() {
    return [...crypto.getRandomValues(new Uint8Array(24))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  /* ---- the lines on their way: first in, first written. `kept` waits for a hand that has read what it was understood as ---- */
  const queue = store.all().map((item) => ({ ...item, kept: true }));
  let running = false, timer = 0, last = Date.now();

  async function pump() {
    if (running) return;
    running = true;
    clearTimeout(timer);
    try {
      for (const item of [...queue]) {
        if (item.error || !queue.includes(item)) continue;
        if (!item.sentence) await understand(item);
        if (queue.includes(item) && !item.error && item.sentence && (!item.kept || item.agreed)) await send(item);
      }
      trouble = "";
    } catch (fault) {
      if (!(fault instanceof Lost)) throw fault;
      trouble = fault.message;
      queue.forEach((item) => { item.kept = true; item.agreed = false; });
    } finally { running = false; }
    draw();
    if (trouble) timer = setTimeout(pump, RETRY);
    else if (queue.some((item) => !item.error && (!item.sentence || !item.kept || item.agreed))) pump();
  }
  let trouble = "";

  async function understand(item) {
    const said = await hear(item.understood, item.fields);
    item.error = said.error || "";
    item.field = said.field || "";
    item.sentence = said.sentence || "";
    item.out = Boolean(said.out);
    if (item.error) giveBack(item);
    draw();
  }
  async function send(item) {
    const said = await write(item);
    if (said.written) { take(item); stands(said); return; }
    // Understood otherwise than it was said back, or refused: a hand has to look at it once more.
    Object.assign(item, { kept: true, agreed: false, error: said.error || "", sentence: said.sentence || item.sentence, out: Boolean(said.out) });
    if (item.error) giveBack(item);
    draw();
  }
  function take(item) {
    const spot = queue.indexOf(item);
    // A hand may have dropped it while it was on its way.
    if (spot >= 0) queue.splice(spot, 1);
    store.drop(item);
  }
  function stands(said) {
    const old = document.getElementById("readings");
    const fresh = document.createRange().createContextualFragment(said.html || "").firstElementChild;
    if (old && fresh) old.replaceWith(fresh);
    // The line may have said how the board stands; that stays, unless a hand is choosing just now.
    if (form && said.stays && !form.contains(document.activeElement?.closest("select"))) fill(said.stays);
    if (form && !form.elements.line.value) tell(`Written. ${said.sentence}`, said.out);
    draw();
  }
  // A line that was refused goes back where it was typed, unless the hand is at the next one already.
  function giveBack(item) {
    if (!form || form.elements.line.value || item.kept) return;
    fill({ ...item.fields, key: item.key });
    take(item);
    tell(item.error, true);
    mark(item.field);
  }

  /* ---- the list of what waits ---- */
  const host = form ? form.querySelector("[data-lines]") : sheet.insertBefore(document.createElement("div"), sheet.firstChild);
  function button(words, act, look = "act-plain") {
    const made = Object.assign(document.createElement("button"), { type: "button", className: look, textContent: words });
    made.addEventListener("click", act);
    return made;
  }
  function draw() {
    const waiting = queue.filter((item) => item.kept || item.error);
    if (!waiting.length) { host.replaceChildren(); return; }
    const box = Object.assign(document.createElement("section"), { className: "lines-kept" });
    box.setAttribute("aria-label", "Kept on this machine");
    const head = Object.assign(document.createElement("p"), { textContent: `${waiting.length === 1 ? "1 reading is" : `${waiting.length} readings are`} kept on this machine, not written yet. ${trouble}` });
    head.setAttribute("role", "status");
    const list = document.createElement("ol");
    for (const item of waiting) {
      const row = document.createElement("li");
      const words = Object.assign(document.createElement("span"), { textContent: item.error ? `${item.fields.line}: ${item.error}` : item.sentence || item.fields.line });
      if (item.error) words.className = "wrong";
      row.append(words, " ");
      if (form && item.error) row.append(button("Put it back", () => { if (line.value.trim()) { hush(); tell("Write or empty the line first, then put this one back.", true); line.focus(); return; } fill({ ...item.fields, key: item.key }); take(item); draw(); echoSoon(); }, "as-link"), " ");
      row.append(button("Drop it", () => { take(item); draw(); }, "as-link"));
      list.append(row);
    }
    box.append(head, list);
    if (waiting.some((item) => item.sentence && !item.error)) box.append(button("Write all", writeAll));
    host.replaceChildren(box);
  }
  function writeAll() {
    queue.forEach((item) => { if (item.sentence && !item.error) item.agreed = true; });
    pump();
    form?.elements.line.focus();
  }

  addEventListener("online", pump);
  draw();
  if (queue.length) pump();
  if (!form) return;

  /* ---- the line itself ---- */
  const line = form.elements.line, echo = form.querySelector("[data-echo]"), replaces = form.querySelector("[data-replaces]");
  function tell(words, out = false) {
    echo.textContent = words;
    echo.classList.toggle("out", out);
  }
  function mark(name) {
    form.querySelectorAll("[aria-invalid]").forEach((field) => field.removeAttribute("aria-invalid"));
    const field = name && form.elements[name];
    if (!field) { line.focus(); return; }
    field.setAttribute("aria-invalid", "true");
    const fold = field.closest("details");
    if (fold) fold.open = true;
    field.focus();
  }
  function values() {
    const found = {};
    for (const [name, value] of new FormData(form)) if (!["csrfmiddlewaretoken", "key", "echoed"].includes(name)) found[name] = value;
    return found;
  }
  function fill(fields) {
    for (const [name, value] of Object.entries(fields)) {
      const field = form.elements[name];
      if (!field) continue;
      if (field.tagName === "SELECT" && value && ![...field.options].some((option) => option.value === value)) field.add(new Option(value, value));
      field.value = value;
    }
    cautions();
  }
  function clear() {
    for (const name of ONCE) form.elements[name].value = "";
    form.elements.key.value = newKey();
    form.querySelector("#errors")?.remove();
    form.querySelectorAll(".field.bad").forEach((field) => { field.classList.remove("bad"); field.querySelector(".wrong")?.remove(); });
    mark("line");
    replaces.hidden = true;
    tell("");
    store.half("");
  }

  /* said back while typing; a line that is not whole yet is no error */
  let typing = 0, asked = 0, heard = null;
  async function echoNow() {
    const mine = ++asked, fields = values();
    if (!fields.line.trim()) { tell(""); return; }
    try {
      const said = await hear(form.dataset.understood, fields);
      if (mine !== asked) return;
      heard = said.sentence ? { fields: JSON.stringify(fields), said } : null;
      tell(said.sentence || "", said.out);
    } catch { if (mine === asked) tell(""); }
  }
  // An answer that is still on its way must not wipe away what is said now.
  function hush() {
    clearTimeout(typing);
    asked += 1;
  }
  function echoSoon() {
    hush();
    typing = setTimeout(echoNow, PAUSE);
  }
  form.addEventListener("input", () => { store.half(line.value); tell(""); cautions(); echoSoon(); });

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    hush();
    const fields = values();
    if (!fields.line.trim() && queue.some((item) => item.sentence && !item.error)) { writeAll(); return; }
    if (!fields.line.trim()) { tell("Type where, how and how much, such as: boost out d .452", true); line.focus(); return; }
    last = Math.max(last + 1, Date.now());
    const item = { key: form.elements.key.value, fields, url: form.getAttribute("action").split("#")[0], understood: form.dataset.understood, at: last, kept: queue.some((one) => one.kept && !one.error) };
    if (heard && heard.fields === JSON.stringify(fields)) Object.assign(item, { sentence: heard.said.sentence, out: heard.said.out });
    queue.push(item);
    store.put(item);
    clear();
    draw();
    pump();
  });

  /* measure again, or put another verdict on it: the link fills the line */
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a[data-again]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const fields = JSON.parse(link.dataset.again);
    clear();
    fill(fields);
    replaces.hidden = !fields.instead_of;
    replaces.textContent = "This will replace the reading. The old one stays under a fold.";
    line.focus();
    line.setSelectionRange(line.value.trimEnd().lastIndexOf(" ") + 1 || 0, line.value.length);
    if (line.value.endsWith(" ")) line.setSelectionRange(line.value.length, line.value.length);
    echoSoon();
  });

  /* the caution that fits how the board stands */
  function cautions() {
    const state = form.elements.state.value, fed = state && !state.startsWith("unpowered");
    form.querySelector("[data-caution=off]").hidden = Boolean(fed);
    form.querySelector("[data-caution=fed]").hidden = !fed && Boolean(state);
  }
  cautions();
  try { if (!line.value && localStorage.getItem(HALF)) { line.value = localStorage.getItem(HALF); echoSoon(); } } catch { /* nothing was kept */ }
})();
