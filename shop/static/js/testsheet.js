/* The test sheet by keyboard. Without this the buttons of the form do all of it. */
"use strict";
(() => {
  const form = document.getElementById("test-sheet");
  if (!form) return;
  const rows = () => [...form.querySelectorAll("[data-row]")];
  const rowOf = (element) => element.closest("[data-row]");
  const SCANNER = 60;

  function goOn(row) {
    const all = rows();
    const next = all.slice(all.indexOf(row) + 1).find((one) => !one.querySelector("input[type=radio]:checked"));
    const goal = next?.querySelector("[data-reading]") || next?.querySelector("input[type=radio]");
    if (!goal) { form.querySelector("[name=sign]")?.focus(); return; }
    goal.focus();
    next.scrollIntoView({ block: "nearest" });
  }

  /* ---- a value typed to its end is written, judged and said as it was understood ---- */
  async function judged(field) {
    const row = rowOf(field);
    const was = row.querySelector("[name^='was-']");
    if (JSON.parse(was.value)[1] === field.value.trim() || !field.value.trim()) return;
    const said = row.querySelector("[data-judged]");
    const typed = field.value;
    const body = new URLSearchParams({ csrfmiddlewaretoken: form.elements.csrfmiddlewaretoken.value, row: row.dataset.row, typed });
    let answer, words;
    try {
      answer = await fetch(form.dataset.readingUrl, { method: "POST", body, credentials: "same-origin", redirect: "manual", headers: { "X-Requested-With": "benchpost" } });
      words = await answer.json();
    } catch {
      said.textContent = "No connection. The value stays here and is written with the rows.";
      return;
    }
    if (field.value !== typed) return;
    said.textContent = words.said || words.error || "";
    if (!answer.ok) { field.setAttribute("aria-invalid", "true"); return; }
    field.removeAttribute("aria-invalid");
    field.value = words.reading;
    const picked = row.querySelector("input[type=radio]:checked");
    if (!picked && words.result) row.querySelector(`input[type=radio][value="${words.result}"]`).checked = true;
    was.value = words.was;
  }
  form.addEventListener("change", (event) => { if (event.target.matches("[data-reading]")) judged(event.target); });
  form.addEventListener("keydown", async (event) => {
    if (event.key !== "Enter" || !event.target.matches(".test input[type=text]")) return;
    event.preventDefault();
    const row = rowOf(event.target);
    if (event.target.matches("[data-reading]")) await judged(event.target);
    if (!event.target.matches("[aria-invalid]")) goOn(row);
  });

  /* ---- what the keeping answers: how many are still blank, and beside each row that is not kept, why ---- */
  form.addEventListener("bench:answered", (event) => {
    const { counted, rows: refused } = event.detail;
    if (counted) form.querySelector("[data-counted]").textContent = counted;
    if (!refused) return;
    for (const row of rows()) {
      let said = row.querySelector("[data-not-kept]");
      const why = refused[row.dataset.row];
      if (!why) { said?.remove(); continue; }
      if (!said) { said = Object.assign(document.createElement("p"), { className: "wrong across-row" }); said.dataset.notKept = ""; row.querySelector("fieldset").after(said); }
      said.textContent = why;
    }
  });

  /* ---- 1 to 5 mark the row one stands in; a scanner's digits come too fast to count ---- */
  let waiting = 0, last = 0;
  form.addEventListener("keydown", (event) => {
    const quick = event.timeStamp - last < SCANNER;
    last = event.timeStamp;
    clearTimeout(waiting);
    if (quick || event.ctrlKey || event.altKey || event.metaKey || !event.target.matches(".test input[type=radio]")) return;
    const choice = rowOf(event.target).querySelectorAll("input[type=radio]")[Number(event.key) - 1];
    if (!/^[1-5]$/.test(event.key) || !choice) return;
    waiting = setTimeout(() => {
      choice.checked = true;
      choice.dispatchEvent(new Event("change", { bubbles: true }));
      const row = rowOf(choice);
      const why = row.querySelector("[name^='reason-']");
      if (choice.value === "cannot" && !why.value && !row.querySelector("legend").textContent.includes("needs the code")) { why.focus(); return; }
      goOn(row);
    }, SCANNER);
  });
  const digits = form.querySelector("[data-digits]");
  if (digits) digits.hidden = false;

  /* ---- the soak's time, counted on; the rows hold it, so a reload shows the same ---- */
  function soaks() {
    for (const place of form.querySelectorAll("[data-soak-ends]")) {
      const left = Math.ceil((Date.parse(place.dataset.soakEnds) - Date.now()) / 60000);
      place.textContent = left > 0 ? `${left} min` : "nothing";
    }
  }
  if (form.querySelector("[data-soak-ends]")) { soaks(); setInterval(soaks, 15000); }
})();
