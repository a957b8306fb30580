/* Marks on a photo: a press places one, the arrow keys move it, Enter keeps it. The form beside it does the same without this. */
"use strict";
(() => {
  const board = document.querySelector("[data-marking]");
  const form = board && document.getElementById(board.dataset.marking);
  if (!form) return;
  const SVG = "http://www.w3.org/2000/svg";
  const wide = Number(board.dataset.width), high = Number(board.dataset.height);
  const says = document.querySelector("[data-marking-says]");
  const help = document.querySelector("[data-marking-help]");
  const field = (name) => form.elements[name];
  const kind = () => form.elements.kind.value;
  const line = Math.max(3, Math.round(Math.max(wide, high) / 240));
  const RING = 60, ARROW = 150, STEP = 1;

  const over = document.createElement("div");
  over.className = "over";
  over.tabIndex = 0;
  over.setAttribute("role", "application");
  over.setAttribute("aria-label", "Place of the mark");
  if (help) { help.hidden = false; over.setAttribute("aria-describedby", help.id); }
  const drawn = document.createElementNS(SVG, "svg");
  drawn.setAttribute("viewBox", `0 0 ${wide} ${high}`);
  drawn.setAttribute("aria-hidden", "true");
  over.append(drawn);
  board.append(over);

  /* ---- places, in per cent as the fields have them; null while none is set ---- */
  const read = (name) => { const text = field(name).value.replace(",", ".").replace("%", "").trim(); const figure = Number(text); return text === "" || Number.isNaN(figure) ? null : Math.min(100, Math.max(0, figure)); };
  const first = () => { const x = read("x"), y = read("y"); return x === null || y === null ? null : { x, y }; };
  const second = () => { const x = read("to_x"), y = read("to_y"); return x === null || y === null ? null : { x, y }; };
  const round = (figure) => String(Math.round(Math.min(100, Math.max(0, figure)) * 10) / 10);
  function put(names, place) {
    field(names[0]).value = place ? round(place.x) : "";
    field(names[1]).value = place ? round(place.y) : "";
  }
  const FIRST = ["x", "y"], SECOND = ["to_x", "to_y"];
  const usual = (place) => kind() === "ring"
    ? { x: place.x + (place.x + RING / 10 <= 100 ? RING : -RING) / 10, y: place.y }
    : { x: place.x + (place.x >= ARROW / 10 ? -ARROW : ARROW) / 10, y: place.y + (place.y >= ARROW / 10 ? -ARROW : ARROW) / 10 };

  /* ---- the mark to be, drawn over the photo ---- */
  function shape(name, attributes) {
    for (const under of [true, false]) {
      const element = document.createElementNS(SVG, name);
      for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
      element.setAttribute("class", under ? "under" : "ink");
      element.setAttribute("stroke-width", under ? line * 2.4 : line);
      drawn.append(element);
    }
  }
  function draw() {
    drawn.replaceChildren();
    const place = first();
    if (!place) return;
    const at = { x: place.x * wide / 100, y: place.y * high / 100 };
    if (kind() === "number") { shape("circle", { cx: at.x, cy: at.y, r: line * 6 }); shape("circle", { cx: at.x, cy: at.y, r: line }); return; }
    const other = second() || usual(place);
    const to = { x: other.x * wide / 100, y: other.y * high / 100 };
    const long = Math.max(Math.hypot(to.x - at.x, to.y - at.y), line * 3);
    if (kind() === "ring") { shape("circle", { cx: at.x, cy: at.y, r: long }); return; }
    const along = { x: (to.x - at.x) / long, y: (to.y - at.y) / long }, head = line * 7, half = head / 2;
    const foot = { x: at.x + along.x * head, y: at.y + along.y * head };
    shape("path", { d: `M${to.x} ${to.y}L${at.x} ${at.y}M${foot.x - along.y * half} ${foot.y + along.x * half}L${at.x} ${at.y}L${foot.x + along.y * half} ${foot.y - along.x * half}` });
  }
  let saying = 0;
  function tell() {
    clearTimeout(saying);
    saying = setTimeout(() => {
      const place = first(), other = second();
      const name = { ring: "Ring", arrow: "Arrow", number: "Number" }[kind()];
      says.textContent = place ? `${name}: ${round(place.x)} % across, ${round(place.y)} % down${other && kind() !== "number" ? `; second place ${round(other.x)} % across, ${round(other.y)} % down` : ""}. Enter keeps it.` : "";
    }, 250);
  }
  function changed() { draw(); tell(); }
  function set(names, place) { field("square").value = ""; put(names, place); changed(); }

  /* ---- by pointer: the first press is the place, the next one a ring's edge or where an arrow comes from ---- */
  over.addEventListener("click", (event) => {
    const box = over.getBoundingClientRect();
    const place = { x: (event.clientX - box.left) / box.width * 100, y: (event.clientY - box.top) / box.height * 100 };
    over.focus({ preventScroll: true });
    if (first() && !second() && kind() !== "number") { set(SECOND, place); return; }
    put(SECOND, null);
    set(FIRST, place);
  });

  /* ---- by keys, while the photo has the focus ---- */
  const MOVES = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, -STEP], ArrowDown: [0, STEP] };
  over.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (MOVES[event.key]) {
      event.preventDefault();
      const [x, y] = MOVES[event.key];
      const start = first();
      if (!start) { set(FIRST, { x: 50, y: 50 }); return; }
      if (!event.shiftKey) { set(FIRST, { x: start.x + x, y: start.y + y }); return; }
      if (kind() === "number") return;
      const other = second() || usual(start);
      set(SECOND, { x: other.x + x, y: other.y + y });
    } else if (event.key === "Enter") {
      event.preventDefault();
      if (first()) form.requestSubmit();
    } else if (event.key === "Escape") {
      put(SECOND, null);
      set(FIRST, null);
    }
  });
  form.addEventListener("input", changed);
  form.addEventListener("change", changed);
  if (location.hash === "#place") over.focus({ preventScroll: true });
  draw();
})();
