/* The bench phone: photos wait on the phone until they are on the sheet, one after the other, whatever the network does. */
"use strict";
(() => {
  const form = document.getElementById("phone");
  if (!form || !window.fetch || !window.FormData) return;
  const order = form.dataset.phone;
  const queue = document.querySelector("[data-phone-queue]");
  const says = document.querySelector("[data-phone-says]");
  const list = queue.querySelector("ul");
  const count = document.querySelector("[data-phone-count]");
  const DAY = 864e5, LONGEST_WAIT = 15000;
  const waiting = [];
  let busy = false, pause = 1000, timer = 0, gone = false;
  document.querySelector("[data-phone-plain]").hidden = true;

  /* ---- what waits is kept on the phone, so that a page that was closed or a code that ran out loses nothing ---- */
  const kept = new Promise((resolve) => {
    let opening;
    try { opening = indexedDB.open("bench-photos", 1); } catch { resolve(null); return; }
    opening.onupgradeneeded = () => opening.result.createObjectStore("waiting", { keyPath: "id" });
    opening.onsuccess = () => resolve(opening.result);
    opening.onerror = () => resolve(null);
  });
  function ask(mode, what) {
    return kept.then((base) => base && new Promise((resolve) => {
      try {
        const asking = what(base.transaction("waiting", mode).objectStore("waiting"));
        asking.onsuccess = () => resolve(asking.result);
        asking.onerror = () => resolve(null);
      } catch { resolve(null); }
    }));
  }
  const keep = (item) => ask("readwrite", (store) => store.put({ id: item.id, order, role: item.role, name: item.name, at: item.at, file: item.file }));
  const forget = (id) => ask("readwrite", (store) => store.delete(id));

  function line(item) {
    const row = document.createElement("li");
    const picture = Object.assign(document.createElement("img"), { alt: "", width: 64, height: 48, src: URL.createObjectURL(item.file) });
    picture.addEventListener("load", () => URL.revokeObjectURL(picture.src), { once: true });
    picture.addEventListener("error", () => picture.remove(), { once: true });
    item.words = document.createElement("span");
    row.append(picture, item.words);
    list.append(row);
    queue.hidden = false;
    tell(item, "waits");
  }
  const tell = (item, words) => { item.words.textContent = `${item.name}: ${words}`; };
  function sum() {
    if (gone) { says.textContent = `The code has run out. ${waiting.length} not sent yet. They wait on this phone: point it at a fresh code of ${order}.`; return; }
    says.textContent = waiting.length ? `${waiting.length} not sent yet. Keep this page open.` : "All are on the sheet.";
  }

  function take(files, role) {
    for (const file of files) {
      const item = { id: `${Date.now()}-${Math.random().toString(36).slice(2)}`, file, name: file.name || "Photo", role, at: Date.now() };
      waiting.push(item);
      line(item);
      keep(item);
    }
    sum();
    send();
  }

  async function send() {
    clearTimeout(timer);
    if (busy || gone) return;
    busy = true;
    while (waiting.length && !gone) {
      const item = waiting[0];
      tell(item, "is being sent");
      const told = await one(item);
      if (told === "later") {
        tell(item, "not sent yet, no connection; tried again by itself");
        timer = setTimeout(send, pause);
        pause = Math.min(pause * 2, LONGEST_WAIT);
        break;
      }
      if (told === "gone") { gone = true; tell(item, "not sent, the code has run out"); break; }
      waiting.shift();
      forget(item.id);
      pause = 1000;
    }
    busy = false;
    sum();
  }
  async function one(item) {
    const body = new FormData();
    body.append("csrfmiddlewaretoken", form.elements.csrfmiddlewaretoken.value);
    body.append("sheet", order);
    body.append("role", item.role);
    body.append("photos", item.file, item.name);
    let answer, words = {};
    try {
      answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin", headers: { Accept: "application/json" } });
      if ((answer.headers.get("Content-Type") || "").includes("json")) words = await answer.json();
    } catch { return "later"; }
    if (answer.ok && words.kept) { tell(item, "is on the sheet"); count.textContent = words.count; return "kept"; }
    if (words.gone || answer.status === 403) return "gone";
    if (answer.status === 422 || answer.status === 413) { tell(item, words.error || "not taken, it is too large"); return "not taken"; }
    return "later";
  }

  form.addEventListener("change", (event) => {
    const input = event.target;
    if (input.type !== "file" || !input.files.length) return;
    // The queue below says what was chosen.
    event.stopPropagation();
    // A list of its own: clearing the field empties the browser's.
    const files = [...input.files];
    input.value = "";
    take(files, form.elements.role.value);
  });
  form.addEventListener("submit", (event) => { event.preventDefault(); send(); });
  addEventListener("online", () => { pause = 1000; send(); });
  addEventListener("beforeunload", (event) => { if (waiting.length && !gone) event.preventDefault(); });

  ask("readonly", (store) => store.getAll()).then((rows) => {
    for (const row of rows || []) {
      if (Date.now() - row.at > DAY) { forget(row.id); continue; }
      if (row.order !== order || waiting.some((item) => item.id === row.id)) continue;
      waiting.push(row);
      line(row);
    }
    if (waiting.length) { sum(); send(); }
  });
})();
