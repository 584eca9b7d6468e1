// Pages work without this. It zooms and pans drawings in place, and marks on
// the drawing what is pointed at in the list, and the other way round.
(() => {
  "use strict";
  const pane = document.querySelector("#drawing .pane, .drawing .pane");
  if (!pane) return;

  const steps = [1, 2, 4];
  const zoom = (n, at) => {
    const svg = pane.querySelector("svg");
    const box = pane.getBoundingClientRect();
    const x = at ? at.x - box.left : box.width / 2, y = at ? at.y - box.top : box.height / 2;
    const before = svg.getBoundingClientRect().width;
    for (const s of steps) pane.classList.toggle("zoom-" + s, s === n);
    const k = svg.getBoundingClientRect().width / before;
    pane.scrollLeft = (pane.scrollLeft + x) * k - x;
    pane.scrollTop = (pane.scrollTop + y) * k - y;
    for (const a of document.querySelectorAll("[data-zoom]")) {
      if (+a.dataset.zoom === n) a.setAttribute("aria-current", "true"); else a.removeAttribute("aria-current");
    }
  };
  const now = () => steps.find((s) => pane.classList.contains("zoom-" + s)) || 1;
  for (const a of document.querySelectorAll("[data-zoom]")) {
    a.addEventListener("click", (e) => { e.preventDefault(); zoom(+a.dataset.zoom); });
  }
  pane.addEventListener("wheel", (e) => {
    if (!e.ctrlKey) return;
    e.preventDefault();
    const i = steps.indexOf(now()) + (e.deltaY < 0 ? 1 : -1);
    if (steps[i]) zoom(steps[i], { x: e.clientX, y: e.clientY });
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
  const circle = (g, name, wide) => {
    const b = g.getBBox(), c = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    c.setAttribute("class", name);
    c.setAttribute("cx", b.x + b.width / 2);
    c.setAttribute("cy", b.y + b.height / 2);
    c.setAttribute("r", Math.max(b.width, b.height) / 2 + 6);
    c.setAttribute("stroke-width", wide);
    const a = g.closest("a") || g;
    a.before(c);
  };
  const line = document.querySelector(".picked-line");
  // say puts the row of a position beside the drawing.
  const say = (r) => {
    const b = document.createElement("b"), cells = r.querySelectorAll("td");
    b.textContent = r.dataset.row;
    b.className = "name";
    const para = (...parts) => { const p = document.createElement("p"); p.append(...parts); return p; };
    const minus = cells[0].querySelector(".minus"), instead = cells[0].querySelector(".instead");
    const text = [...cells[0].cloneNode(true).childNodes].filter((n) => n.nodeName !== "SMALL" && !n.classList?.contains("instead"));
    line.classList.add("chosen");
    line.replaceChildren(para(b, " ", ...text, " ", ...cells[1].cloneNode(true).childNodes),
      ...(minus ? [para(minus.cloneNode(true))] : []), ...(instead ? [para(instead.cloneNode(true))] : []),
      para(r.querySelector("small a:last-child").cloneNode(true)));
  };
  const pick = (d, follow) => {
    for (const c of pane.querySelectorAll(".ring, .glow")) c.remove();
    pane.classList.add("chosen");
    for (const r of rows) {
      r.classList.toggle("marked", r.dataset.row === d);
      const a = r.querySelector("th a");
      if (r.dataset.row === d) a.setAttribute("aria-current", "true"); else a.removeAttribute("aria-current");
    }
    const box = row(d).closest("tbody")?.querySelector(".open");
    if (box) box.checked = true;
    say(row(d));
    const g = shape(d);
    if (g) {
      circle(g, "glow", 10);
      circle(g, "ring", 4);
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
