// Pages work without this. It zooms and pans drawings in place, and marks on
// the drawing what is pointed at in the list, and the other way round.
(() => {
  "use strict";
  const pane = document.querySelector("#drawing .pane, .drawing .pane");
  if (!pane) return;

  const most = 12, steps = [1, 2, 4, 8];
  const now = () => { for (let n = most; n > 1; n--) if (pane.classList.contains("zoom-" + n)) return n; return 1; };
  const zoom = (n, at) => {
    const svg = pane.querySelector("svg");
    const box = pane.getBoundingClientRect();
    const x = at ? at.x - box.left : box.width / 2, y = at ? at.y - box.top : box.height / 2;
    const before = svg.getBoundingClientRect().width;
    if (now() === 1 && n > 1) pane.style.height = Math.max(box.height, Math.min(innerHeight * 0.5, box.width)) + "px";
    for (let i = 1; i <= most; i++) pane.classList.toggle("zoom-" + i, i === n);
    if (n === 1) pane.style.height = "";
    const k = svg.getBoundingClientRect().width / before;
    pane.scrollLeft = (pane.scrollLeft + x) * k - x;
    pane.scrollTop = (pane.scrollTop + y) * k - y;
    for (const a of document.querySelectorAll("[data-zoom]")) {
      if (+a.dataset.zoom === n) a.setAttribute("aria-current", "true"); else a.removeAttribute("aria-current");
    }
  };
  for (const a of document.querySelectorAll("[data-zoom]")) {
    a.addEventListener("click", (e) => { e.preventDefault(); zoom(+a.dataset.zoom); });
  }
  pane.addEventListener("wheel", (e) => {
    if (!e.ctrlKey) return;
    e.preventDefault();
    const to = e.deltaY < 0 ? steps.find((s) => s > now()) : steps.findLast((s) => s < now());
    if (to) zoom(to, { x: e.clientX, y: e.clientY });
  }, { passive: false });

  let from = null, moved = false;
  pane.classList.add("grab");
  pane.addEventListener("pointerdown", (e) => {
    if (e.pointerType !== "mouse" || e.button !== 0) return;
    from = { x: e.clientX, y: e.clientY, left: pane.scrollLeft, top: pane.scrollTop };
    moved = false;
  });
  addEventListener("pointermove", (e) => {
    if (!from) return;
    const dx = e.clientX - from.x, dy = e.clientY - from.y;
    if (Math.abs(dx) + Math.abs(dy) > 5) moved = true;
    if (moved) { pane.scrollLeft = from.left - dx; pane.scrollTop = from.top - dy; }
  });
  addEventListener("pointerup", () => { from = null; });
  pane.addEventListener("dragstart", (e) => e.preventDefault());

  const shape = (d) => pane.querySelector('g[data-designator="' + CSS.escape(d) + '"]');
  const show = (g) => {
    const b = g.getBoundingClientRect(), p = pane.getBoundingClientRect();
    pane.scrollLeft += b.left + b.width / 2 - p.left - p.width / 2;
    pane.scrollTop += b.top + b.height / 2 - p.top - p.height / 2;
    if (p.bottom < 60 || p.top > innerHeight - 60) pane.scrollIntoView({ block: "nearest" });
  };

  const rows = document.querySelectorAll("[data-row]");
  if (!rows.length) {
    const marked = pane.dataset.mark && shape(pane.dataset.mark);
    if (marked) show(marked);
    return;
  }
  const row = (d) => document.getElementById("row-" + d);
  const beside = matchMedia("(min-width: 56.01rem)");
  // around lays the outline of a body, or of a label, with some room, as the
  // server does.
  const around = (e, before, name, room, wide) => {
    const b = e.getBBox(), round = e.tagName === "circle";
    const c = document.createElementNS("http://www.w3.org/2000/svg", round ? "circle" : "rect");
    const set = (o) => { for (const k in o) c.setAttribute(k, o[k]); };
    set({ class: name, "stroke-width": wide });
    if (round) set({ cx: b.x + b.width / 2, cy: b.y + b.height / 2, r: b.width / 2 + room });
    else set({ x: b.x - room, y: b.y - room, width: b.width + 2 * room, height: b.height + 2 * room });
    before.before(c);
  };
  const body = (g) => [...g.children].find((e) => e.tagName !== "title" && !e.hasAttribute("fill-opacity")) || g;
  const label = (d) => [...pane.querySelectorAll(".labels text")].find((t) => t.textContent === d);
  const line = document.querySelector(".picked-line");
  // say puts the row of a position beside the drawing.
  const say = (r) => {
    const b = document.createElement("b"), told = document.createElement("div");
    b.textContent = r.dataset.row;
    b.className = "name";
    told.className = "told";
    told.append(...r.querySelector(".told").cloneNode(true).childNodes);
    line.classList.add("chosen");
    line.replaceChildren(b, " ", told);
  };
  const pick = (d, follow) => {
    for (const c of pane.querySelectorAll(".ring, .glow, .tile")) c.remove();
    for (const c of pane.querySelectorAll(".flagged")) c.classList.remove("flagged");
    pane.classList.add("chosen");
    for (const r of rows) {
      r.classList.toggle("marked", r.dataset.row === d);
      const a = r.querySelector("th a");
      if (r.dataset.row === d) a.setAttribute("aria-current", "true"); else a.removeAttribute("aria-current");
    }
    const box = row(d).closest("tbody")?.querySelector(".open"), fold = row(d).closest("details");
    if (box) box.checked = true;
    if (fold) fold.open = true;
    say(row(d));
    const g = shape(d);
    if (g) {
      around(body(g), g.closest("a") || g, "glow", 5, 9);
      around(body(g), g.closest("a") || g, "ring", 7, 3);
      const t = label(d);
      if (t) { around(t, t, "tile", 0, 1.5); t.classList.add("flagged"); }
      if (follow === "drawing") show(g);
    }
    if (follow === "row" && beside.matches) row(d).scrollIntoView({ block: "nearest" });
    const u = new URL(location.href);
    u.searchParams.set("mark", d);
    history.replaceState(null, "", u);
  };
  pane.addEventListener("click", (e) => {
    const a = e.target.closest("a");
    if (moved) { e.preventDefault(); moved = false; return; }
    if (!a) return;
    if (a.closest(".zones")) {
      e.preventDefault();
      const zone = a.getBoundingClientRect(), x = zone.left + zone.width / 2, y = zone.top + zone.height / 2;
      zoom(+pane.dataset.near, { x, y });
      const at = a.getBoundingClientRect(), p = pane.getBoundingClientRect();
      pane.scrollLeft += at.left + at.width / 2 - p.left - p.width / 2;
      pane.scrollTop += at.top + at.height / 2 - p.top - p.height / 2;
      return;
    }
    const g = a.querySelector("g[data-designator]");
    const d = g ? g.dataset.designator : a.textContent.trim();
    if (!row(d)) return;
    e.preventDefault();
    pick(d, "row");
  });
  for (const r of rows) {
    r.querySelector("th a").addEventListener("click", (e) => {
      if (!shape(r.dataset.row)) return; // on the other side: follow the link
      e.preventDefault();
      pick(r.dataset.row, "drawing");
    });
  }
})();

// What was opened is kept for where there is no network; a copy says how old it
// is, and older than a day bids stop.
(() => {
  const copy = document.getElementById("copy");
  if (!copy) return;
  const kept = Number(document.body.dataset.kept);
  if (kept) {
    const minutes = Math.max(0, Math.round((Date.now() - kept) / 60e3)), old = minutes >= 24 * 60;
    const [n, word] = minutes < 120 ? [minutes, "minutes"] : minutes < 48 * 60 ? [Math.round(minutes / 60), "hours"] : [Math.round(minutes / 1440), "days"];
    copy.querySelector("span").textContent = n + " " + copy.dataset[word];
    copy.classList.toggle("stale", old);
    copy.querySelector(".tag").hidden = copy.querySelector("span + span").hidden = !old;
    copy.hidden = false;
    return;
  }
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.register(copy.dataset.worker, { scope: "/boards/" }).then((r) => {
    const worker = r.active || r.waiting || r.installing;
    const assets = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src], .site img")].map((x) => x.href || x.src);
    worker.postMessage({ keep: [...copy.dataset.keep.split(" ").map((a) => new URL(a, location.href).href), ...assets] });
  }).catch(() => {});
})();

// A long list takes a while: the button says so, and is not pressed twice.
(() => {
  for (const form of document.querySelectorAll("form[data-progress]")) {
    form.addEventListener("submit", () => {
      const button = form.querySelector("button.strong"), bar = document.createElement("progress");
      button.dataset.was ||= button.textContent;
      button.replaceChildren(form.dataset.progress, " ", bar);
      setTimeout(() => { button.disabled = true; });
    });
  }
  addEventListener("pageshow", () => {
    for (const b of document.querySelectorAll("button[data-was]")) { b.textContent = b.dataset.was; b.disabled = false; }
  });
})();

// Passkeys: the form carries what the server asks, the device answers into it.
(() => {
  for (const form of document.querySelectorAll("form[data-passkey]")) {
    form.addEventListener("submit", async (e) => {
      e.preventDefault();
      const asked = JSON.parse(form.dataset.options).publicKey;
      try {
        const credential = form.dataset.passkey === "make"
          ? await navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(asked) })
          : await navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(asked) });
        form.elements.response.value = JSON.stringify(credential.toJSON());
        form.submit();
      } catch {
        form.querySelector("[role=alert]").hidden = false;
      }
    });
  }
})();
