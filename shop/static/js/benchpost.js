/* Comforts on top of pages that work without any of this. No page needs it to do its work. */
"use strict";
(() => {
  const all = (what, root = document) => [...root.querySelectorAll(what)];
  const store = {
    get(key) { try { return JSON.parse(localStorage.getItem(key)); } catch { return null; } },
    set(key, value) { try { localStorage.setItem(key, JSON.stringify(value)); return true; } catch { return false; } },
    drop(key) { try { localStorage.removeItem(key); } catch { /* a browser may forbid it; nothing depends on it */ } },
    keys() { try { return Object.keys(localStorage); } catch { return []; } },
  };
  const clock = (when) => new Date(when).toTimeString().slice(0, 5);

  /* ---- the bench light: the server draws it from the cookie, so a page never flashes ---- */
  function light() {
    const button = document.querySelector("[data-light-switch]");
    if (!button) return;
    button.form.addEventListener("submit", (event) => {
      event.preventDefault();
      event.stopImmediatePropagation();
      const root = document.documentElement;
      const bench = root.dataset.light !== "bench";
      if (bench) root.dataset.light = "bench"; else delete root.dataset.light;
      const secure = location.protocol === "https:" ? "; Secure" : "";
      document.cookie = `${button.dataset.lightSwitch}=${bench ? "bench" : "day"}; Path=/; Max-Age=31536000; SameSite=Lax${secure}`;
      button.textContent = bench ? "Day light" : "Bench light";
    });
  }

  /* ---- keys: F2 reading, F4 part, F7 minutes, F8 photo, F9 sign; pedals send F13 to F16 ---- */
  const KEYS_OFF = "bench:keys-off";
  const PEDALS = { F13: "F8", F14: "F2", F15: "F7", F16: "F9" };
  function press(element) {
    const goal = element.dataset.goesTo ? document.getElementById(element.dataset.goesTo) : element;
    if (!goal) return;
    goal.closest("details:not([open])")?.setAttribute("open", "");
    if (goal.matches("input:not([type=file]):not([type=submit]), textarea, select")) { goal.focus(); goal.select?.(); } else { goal.focus(); goal.click(); }
  }
  function keys() {
    document.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.shiftKey || event.repeat || store.get(KEYS_OFF)) return;
      if (document.querySelector("dialog[open]")) return;
      const wanted = PEDALS[event.key] || event.key;
      if (!/^F\d+$/.test(wanted)) return;
      const target = document.querySelector(`[data-key="${wanted}"]`);
      if (!target) return;
      event.preventDefault();
      press(target);
    });
    document.addEventListener("click", (event) => {
      const link = event.target.closest("a[data-goes-to]");
      if (!link) return;
      event.preventDefault();
      press(link);
    });
    const list = document.getElementById("keys");
    const opener = document.querySelector("[data-keys-open]");
    if (!list || !opener || !list.showModal) return;
    opener.hidden = false;
    opener.addEventListener("click", () => list.showModal());
    const off = list.querySelector("[data-keys-off]");
    off.checked = Boolean(store.get(KEYS_OFF));
    off.addEventListener("change", () => { if (off.checked) store.set(KEYS_OFF, true); else store.drop(KEYS_OFF); });
  }

  /* ---- the scanner is a keyboard that types faster than a hand ---- */
  const FAST = 35, SHORTEST = 6, LONGEST = 60;
  // An order's code, or a command of the printed card: these lead on wherever the cursor stands; other text stays in its field.
  const LEADS_ON = /^([A-Z0-9]{4}-?[A-Z0-9]{4}|GO-?(LOOK|REPAIR|TEST|TALK|STOP))$/;
  const COMMAND = /^GO-[A-Z]+$/;
  function scanner() {
    const where = document.body.dataset.scanUrl;
    if (!where) return;
    let burst = "", last = 0;
    document.addEventListener("keydown", (event) => {
      const gap = event.timeStamp - last;
      last = event.timeStamp;
      if (event.key === "Shift") return;
      if (event.key === "Enter") {
        const text = gap <= FAST ? burst : "";
        burst = "";
        if (text.length < SHORTEST || text.length > LONGEST) return;
        const place = event.target.closest("input, textarea, select, [contenteditable]");
        // A box to tick takes no text: the Enter behind a scan would send its form.
        const field = place?.matches("[type=radio], [type=checkbox]") && !place.closest("[data-takes-scans]") ? null : place;
        const command = COMMAND.test(text.toUpperCase());
        if (field && !command && (field.closest("[role=search], [data-takes-scans]") || !LEADS_ON.test(text.toUpperCase()))) return;
        event.preventDefault();
        event.stopImmediatePropagation();
        if (field && typeof field.value === "string" && field.value.endsWith(text)) {
          field.value = field.value.slice(0, -text.length);
          field.dispatchEvent(new Event("input", { bubbles: true }));
        }
        if (!document.dispatchEvent(new CustomEvent("bench:scan", { detail: text, cancelable: true }))) return;
        location.assign(`${where}?q=${encodeURIComponent(text)}`);
        return;
      }
      if (event.key.length !== 1 || event.ctrlKey || event.altKey || event.metaKey) { burst = ""; return; }
      burst = gap <= FAST ? burst + event.key : event.key;
    }, true);
  }

  /* ---- text at the bench is kept: on this machine at once, on the server every five seconds ---- */
  const KEEP_DAYS = 7;
  function fields(form) {
    const found = {};
    for (const field of form.elements) {
      if (!field.name || field.name === "csrfmiddlewaretoken" || field.name === "version" || field.closest("[data-private]")) continue;
      if (["password", "file", "submit", "button", "hidden", "reset", "fieldset"].includes(field.type)) continue;
      if (["radio", "checkbox"].includes(field.type)) {
        found[field.name] = (found[field.name] || []).concat(field.checked ? [field.value] : []);
      } else { found[field.name] = [field.value]; }
    }
    return found;
  }
  function fill(form, kept) {
    for (const field of form.elements) {
      const values = kept[field.name];
      if (!values) continue;
      if (["radio", "checkbox"].includes(field.type)) field.checked = values.includes(field.value);
      else if (values.length) field.value = values[0];
    }
    form.dispatchEvent(new Event("input", { bubbles: true }));
  }
  const same = (one, other) => JSON.stringify(one).replace(/\s+/g, " ") === JSON.stringify(other).replace(/\s+/g, " ");

  function autosave(form) {
    const key = `bench:kept:${form.dataset.keep || form.dataset.autosave}`;
    const line = form.querySelector("[data-saved]") || form.appendChild(Object.assign(document.createElement("p"), { className: "saved" }));
    line.setAttribute("role", "status");
    let timer = 0, dirty = false, sending = false, given = false, flight = null;
    offer(form, key);

    async function send(leaving) {
      clearTimeout(timer);
      timer = 0;
      if (!dirty || sending || given) return;
      dirty = false;
      sending = true;
      const body = new URLSearchParams();
      for (const [name, value] of new FormData(form)) if (typeof value === "string") body.append(name, value);
      const sent = fields(form);
      flight = new AbortController();
      try {
        const answer = await fetch(form.dataset.autosave, { method: "POST", body, signal: flight.signal, keepalive: Boolean(leaving), redirect: "manual", credentials: "same-origin", headers: { "X-Requested-With": "benchpost" } });
        heard(answer, sent, await said(answer));
      } catch {
        if (given) return;
        dirty = true;
        line.textContent = "No connection. Your text is kept on this machine.";
      }
      sending = false;
      if (dirty && !timer) timer = setTimeout(send, 5000);
    }
    async function said(answer) {
      return (answer.headers.get("Content-Type") || "").includes("json") ? answer.json() : {};
    }
    function heard(answer, sent, words) {
      form.dispatchEvent(new CustomEvent("bench:answered", { detail: words }));
      if (answer.ok) {
        if (words.version !== undefined && form.elements.version) form.elements.version.value = words.version;
        if (same(sent, fields(form))) store.drop(key);
        line.textContent = `Kept as you type. Last kept ${clock(Date.now())}.`;
      } else if (answer.type === "opaqueredirect" || answer.status === 401 || answer.status === 403) {
        line.textContent = "Signed out. Your text is kept on this machine.";
      } else if (answer.status === 409) {
        line.textContent = "This sheet was changed somewhere else. Your text is kept on this machine. Load the page again to see both.";
      } else {
        line.textContent = words.error || "Not kept on the server. Your text is kept on this machine.";
      }
    }
    function changed() {
      dirty = true;
      store.set(key, { at: Date.now(), fields: fields(form) });
      if (!timer) timer = setTimeout(send, 5000);
    }
    form.addEventListener("input", changed);
    form.addEventListener("change", changed);
    form.addEventListener("focusout", () => send(false));
    // The form itself is on its way with all that was typed: a keeping that lands behind it would find the sheet moved on.
    form.addEventListener("submit", () => { given = true; dirty = false; clearTimeout(timer); flight?.abort(); });
    addEventListener("pageshow", (event) => { if (event.persisted) { given = false; sending = false; } });
    addEventListener("pagehide", () => send(true));
  }
  function offer(form, key) {
    const kept = store.get(key);
    if (!kept || !kept.fields) return;
    if (same(kept.fields, fields(form)) || Date.now() - kept.at > KEEP_DAYS * 864e5) { store.drop(key); return; }
    const box = document.createElement("div");
    box.className = "kept";
    box.setAttribute("role", "status");
    const words = document.createElement("span");
    words.textContent = `Kept on this machine ${clock(kept.at)}, and not the same as here.`;
    const use = Object.assign(document.createElement("button"), { type: "button", className: "act-plain", textContent: "Use it" });
    const drop = Object.assign(document.createElement("button"), { type: "button", className: "as-link", textContent: "Drop it" });
    use.addEventListener("click", () => { fill(form, kept.fields); box.remove(); });
    drop.addEventListener("click", () => { store.drop(key); box.remove(); });
    box.append(words, use, drop);
    form.prepend(box);
  }
  function forgetOld() {
    for (const key of store.keys()) {
      if (key.startsWith("bench:kept:") && Date.now() - (store.get(key)?.at || 0) > KEEP_DAYS * 864e5) store.drop(key);
    }
  }

  /* ---- readings that wait on this machine for another sheet: said on every page of the shop ---- */
  function waitingElsewhere() {
    const where = document.body.dataset.scanUrl, notices = document.getElementById("notices");
    if (!where || !notices) return;
    const here = document.querySelector("[data-sheet]")?.dataset.sheet, count = new Map();
    for (const key of store.keys()) {
      const code = /^bench:line:([^:]+):/.exec(key)?.[1];
      if (code && code !== here) count.set(code, (count.get(code) || 0) + 1);
    }
    for (const [code, lines] of count) {
      const box = Object.assign(document.createElement("div"), { className: "notice warning" });
      const words = Object.assign(document.createElement("p"), { textContent: `${lines === 1 ? "1 reading" : `${lines} readings`} of ${code} ${lines === 1 ? "is" : "are"} kept on this machine, not written yet. ` });
      words.append(Object.assign(document.createElement("a"), { href: `${where}?q=${encodeURIComponent(code)}`, textContent: "Open its sheet" }));
      box.append(words);
      notices.append(box);
    }
  }

  /* ---- one press, one sending; a button is never switched off, so a lost answer cannot lock a page ---- */
  function once() {
    document.addEventListener("submit", (event) => {
      const form = event.target;
      if (event.defaultPrevented || form.method !== "post" || form.hasAttribute("hx-post")) return;
      const now = Date.now();
      if (now - Number(form.dataset.sentAt || 0) < 4000) { event.preventDefault(); return; }
      form.dataset.sentAt = now;
    });
    addEventListener("pageshow", () => all("form[data-sent-at]").forEach((form) => delete form.dataset.sentAt));
  }

  /* ---- names of the chosen photos, so that nobody sends the wrong ones ---- */
  function chosen() {
    document.addEventListener("change", (event) => {
      const input = event.target;
      if (!input.matches("input[type=file]")) return;
      let list = input.parentElement.querySelector(".chosen-files");
      if (!list) { list = Object.assign(document.createElement("ul"), { className: "chosen-files" }); list.setAttribute("role", "status"); input.after(list); }
      list.replaceChildren(...[...input.files].map((file) => Object.assign(document.createElement("li"), { textContent: `${file.name}, ${(file.size / 1e6).toFixed(1)} MB` })));
      if (input.hasAttribute("data-sends") && input.files.length) input.form.requestSubmit();
    });
  }

  /* ---- time on the bench, counted on ---- */
  function ticking() {
    const show = () => all("[data-clock-from]").forEach((place) => {
      const spent = Math.max(0, Math.floor((Date.now() - Date.parse(place.dataset.clockFrom)) / 60000)) + Number(place.dataset.clockBefore || 0);
      place.textContent = `${Math.floor(spent / 60)}:${String(spent % 60).padStart(2, "0")}`;
    });
    if (document.querySelector("[data-clock-from]")) { show(); setInterval(show, 15000); }
  }

  /* ---- a sheet that was just opened begins at the first field of its station; one that has something to say does not ---- */
  function arrived() {
    const form = document.querySelector("form[data-first-field]");
    if (!form || location.hash || document.querySelector("#errors, #notices .notice") || !matchMedia("(pointer: fine)").matches) return;
    if (document.activeElement !== document.body) return;
    [...form.elements].find((one) => one.matches("input:not([type=hidden]), select, textarea"))?.focus();
  }

  function errors() {
    const summary = document.getElementById("errors");
    if (summary) summary.focus();
    document.addEventListener("click", (event) => {
      const link = event.target.closest(".errors a[href^='#']");
      const goal = link && document.getElementById(link.hash.slice(1));
      if (!goal) return;
      event.preventDefault();
      const field = goal.matches("fieldset, div") ? goal.querySelector("input, select, textarea") || goal : goal;
      (goal.closest(".field, .answers") || goal).scrollIntoView({ block: "start" });
      field.focus({ preventScroll: true });
    });
  }

  light();
  once();
  keys();
  scanner();
  chosen();
  ticking();
  errors();
  arrived();
  forgetOld();
  waitingElsewhere();
  all("form[data-autosave]").forEach((form) => { form.dataset.watched = "yes"; autosave(form); });
  document.addEventListener("htmx:load", (event) => all("form[data-autosave]", event.target).forEach((form) => { if (!form.dataset.watched) { form.dataset.watched = "yes"; autosave(form); } }));
})();
