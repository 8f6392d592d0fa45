"use strict";
(() => {
  const all = (query, within = document) => [...within.querySelectorAll(query)];
  const make = (tag, attributes = {}, text = "") => {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    if (text) made.textContent = text;
    return made;
  };
  const words = (element) => element.textContent.replace(/\s+/g, " ").trim();

  // Ticks: every box becomes a checkbox that remembers, on this machine only.
  const kept = (key, value) => {
    try {
      if (value === undefined) return localStorage.getItem(key);
      if (value) localStorage.setItem(key, "1");
      else localStorage.removeItem(key);
    } catch {
      return null; // a browser that keeps nothing for files: ticks last as long as the page is open
    }
    return null;
  };
  const times = new Map();
  for (const box of all(".box")) {
    const row = box.closest("tr,li");
    if (!row || box.closest("thead")) continue;
    const chapter = row.closest("[id]").id;
    const what = words(row.querySelector("th,b") || row);
    const text = [document.title, chapter, words(row)].join(" | ");
    times.set(text, (times.get(text) || 0) + 1);
    const key = `boardwright | ${text} | ${times.get(text)}`;
    const tick = make("input", { type: "checkbox", class: "box", "aria-label": `Done: ${what}` });
    tick.checked = kept(key) === "1";
    const show = () => row.classList.toggle("done", tick.checked);
    tick.addEventListener("change", () => { kept(key, tick.checked); show(); });
    show();
    box.replaceWith(tick);
  }

  // Drawings: closer, farther, moved about.
  const zooming = (svg, bar) => {
    const whole = svg.getAttribute("viewBox").split(" ").map(Number);
    let [x, y, w, h] = whole;
    const show = () => {
      const near = w < whole[2];
      svg.setAttribute("viewBox", `${x} ${y} ${w} ${h}`);
      svg.classList.toggle("near", near);
      for (const button of all(".moves", bar)) button.hidden = !near;
    };
    const zoom = (by, cx = x + w / 2, cy = y + h / 2) => {
      const to = Math.min(1, Math.max(1 / 40, (w / whole[2]) * by));
      const [nw, nh] = [whole[2] * to, whole[3] * to];
      x = cx - ((cx - x) * nw) / w;
      y = cy - ((cy - y) * nh) / h;
      [w, h] = [nw, nh];
      if (to === 1) [x, y] = whole;
      show();
    };
    const move = (dx, dy) => { x += dx * w; y += dy * h; show(); };
    const reset = () => { [x, y, w, h] = whole; show(); };
    const at = (event) => {
      const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
      return [p.x, p.y];
    };
    svg.addEventListener("wheel", (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      zoom(event.deltaY > 0 ? 1.25 : 0.8, ...at(event));
    }, { passive: false });
    let held = null;
    svg.addEventListener("pointerdown", (event) => {
      if (w < whole[2]) { held = at(event); }
    });
    svg.addEventListener("pointermove", (event) => {
      if (!held) return;
      if (!svg.hasPointerCapture(event.pointerId)) svg.setPointerCapture(event.pointerId);
      const [px, py] = at(event);
      x -= px - held[0];
      y -= py - held[1];
      show();
    });
    const drop = () => { held = null; };
    svg.addEventListener("pointerup", drop);
    svg.addEventListener("pointercancel", drop);
    return { zoom, move, reset };
  };
  for (const svg of all("figure svg[role=img]")) {
    const title = svg.querySelector("title").textContent;
    const bar = make("div", { class: "zoom", role: "group", "aria-label": `Look closer at: ${title.slice(0, 60)}` });
    const { zoom, move, reset } = zooming(svg, bar);
    for (const [sign, says, act] of [
      ["+", "Closer", () => zoom(0.7)],
      ["−", "Farther", () => zoom(1 / 0.7)],
      ["Whole", "Whole picture", reset],
      ["←", "Left", () => move(-0.2, 0)],
      ["→", "Right", () => move(0.2, 0)],
      ["↑", "Up", () => move(0, -0.2)],
      ["↓", "Down", () => move(0, 0.2)],
    ]) {
      const button = make("button", { type: "button", "aria-label": says, title: says }, sign);
      button.addEventListener("click", act);
      if ("←→↑↓".includes(sign)) Object.assign(button, { className: "moves", hidden: true });
      bar.append(button);
    }
    (svg.closest(".wide") || svg).before(bar);
  }

  // Parts: one click finds a part wherever the book names or shows it.
  const parts = new Set(all("[data-part]").map((element) => element.dataset.part));
  const panel = make("div", { class: "found", role: "region", "aria-label": "Part found", hidden: "" });
  const told = make("span", { role: "status" });
  panel.append(told);
  let places = [];
  let place = 0;
  let asked = null;
  const clear = () => { for (const element of places) element.classList.remove("found-here", "found-now"); };
  const go = (n) => {
    if (!places.length) return;
    places[place].classList.remove("found-now");
    place = (n + places.length) % places.length;
    const now = places[place];
    now.classList.add("found-now");
    now.scrollIntoView({ block: "center" });
    told.textContent = `${panel.dataset.part}: place ${place + 1} of ${places.length}`;
  };
  const close = () => { clear(); places = []; panel.hidden = true; if (asked) asked.focus(); };
  const find = (part, from) => {
    clear();
    const named = new RegExp(`(^|[^\\w-])${part.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}($|[^\\w-])`);
    places = all("main th,main td,main li,main svg text,main use,main dd").filter((element) =>
      element.dataset.part ? element.dataset.part === part
        : !element.querySelector("li,td,th") && named.test(element.textContent));
    for (const element of places) element.classList.add("found-here");
    asked = from;
    panel.dataset.part = part;
    panel.hidden = false;
    const start = places.findIndex((element) => element === from || element.contains(from));
    go(start < 0 ? 0 : start);
  };
  for (const [sign, act] of [["Before", () => go(place - 1)], ["Next", () => go(place + 1)], ["Close", close]]) {
    const button = make("button", { type: "button" }, sign);
    button.addEventListener("click", act);
    panel.append(button);
  }
  document.body.append(panel);
  document.addEventListener("keydown", (event) => { if (event.key === "Escape" && !panel.hidden) close(); });
  for (const name of all("b[data-part],th[data-part]")) {
    const button = make("button", { type: "button", class: "part", title: "Find this part everywhere" }, words(name));
    button.addEventListener("click", () => find(name.dataset.part, button));
    const text = [...name.childNodes].find((node) => node.nodeType === 3 && node.nodeValue.trim());
    text.replaceWith(button);
  }
  document.addEventListener("click", (event) => {
    const seen = event.target.closest("svg text,svg use");
    if (!seen) return;
    const part = seen.dataset.part || words(seen);
    if (parts.has(part)) find(part, seen);
  });
})();
