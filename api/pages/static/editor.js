// The positions of a map as one sheet: filter, sort, change many at once, paste
// cells, undo. Whatever is typed goes into the form's document; the server says
// what stands against it, and keeps it for who is signed in. This browser keeps
// it in any case.
(() => {
  "use strict";
  const place = "boardlore.draft", tab = Math.random().toString(36).slice(2);
  const make = (name, props = {}, ...inside) => { const e = Object.assign(document.createElement(name), props); e.append(...inside); return e; };
  const kept = () => { try { return JSON.parse(localStorage.getItem(place)); } catch { return null; } };
  const form = document.getElementById("editor");

  // The page of ways to begin offers what this browser kept.
  if (!form) {
    const was = kept(), say = document.getElementById("go-on-here");
    if (!was || !say) return;
    say.hidden = false;
    say.querySelector("[data-act=restore]").onclick = () => {
      const send = make("form", { method: "post", action: "/contribute", enctype: "multipart/form-data" });
      const fields = [...was.fields.filter(([k]) => !["act", "kept", "draft"].includes(k)), ["form_key", document.querySelector("[name=form_key]").value], ["act", "check"]];
      for (const [k, v] of fields) send.append(make("input", { type: "hidden", name: k, value: v }));
      document.body.append(send);
      send.submit();
    };
    say.querySelector("[data-act=forget]").onclick = () => { localStorage.removeItem(place); say.hidden = true; };
    return;
  }

  const words = {};
  for (const i of document.getElementById("words").content.children) words[i.dataset.word.slice(6)] = i.dataset.say;
  const fill = (text, ...xs) => xs.reduce((s, x, i) => s.replace(`{${i + 1}}`, x), text);
  const sheet = document.getElementById("sheet"), members = JSON.parse(sheet.dataset.members), byPath = new Map(members.map((m) => [m.path, m]));
  const columns = members.filter((m) => m.column);
  const suggested = [...document.querySelectorAll("#constructions option")].map((o) => o.value);
  let doc = JSON.parse(form.elements.map.value);
  doc.positions ||= [];
  let past = [], future = [], renames = [], removals = [], filter = "", sorted = null, at = { r: 0, c: 0 }, anchor = null, shown = [], open = -1, most = 300;

  // Members of a position by their path, as they are typed.
  const get = (p, path) => path.split(".").reduce((o, k) => (o == null ? undefined : o[k]), p);
  const text = (p, path) => { const v = get(p, path); return v == null ? "" : v === true ? "yes" : v === false ? "no" : Array.isArray(v) ? v.join(", ") : String(v); };
  const put = (p, path, v) => {
    const [k, ...rest] = path.split(".");
    if (!rest.length) { if (v === undefined) delete p[k]; else p[k] = v; return; }
    if (p[k] == null || typeof p[k] !== "object") { if (v === undefined) return; p[k] = {}; }
    put(p[k], rest.join("."), v);
    if (!Object.keys(p[k]).length) delete p[k];
  };
  const ways = { right: 0, up: 90, left: 180, down: 270 };
  const value = (m, typed, p) => {
    const s = typed.trim();
    if (!s) return undefined;
    if (m.kind === "number") {
      if (/_deg$/.test(m.path)) {
        if (s.toLowerCase() in ways) return ways[s.toLowerCase()];
        const turned = s.match(/^rotation\s*([+-]\s*\d+)?$/i);
        if (turned) return (((+get(p, "rotation_deg") || 0) + +(turned[1] || "0").replace(/\s/g, "")) % 360 + 360) % 360;
      }
      const x = Number(s.replace(",", "."));
      return Number.isFinite(x) ? x : s;
    }
    if (m.kind === "flag") return /^(y|yes|1|true)$/i.test(s) ? true : /^(n|no|0|false)$/i.test(s) ? false : s;
    if (m.kind === "words") return s.split(/[,;]/).map((w) => w.trim()).filter(Boolean);
    const offered = m.kind === "choice" ? m.choices : m.path.endsWith("construction") ? suggested : null;
    return offered ? offered.find((c) => c && c === s) || offered.find((c) => c && c.startsWith(s.toLowerCase())) || s : s;
  };

  // Everything that is done can be undone.
  const snapshot = () => JSON.stringify([doc.positions, renames, removals]);
  const restore = (s) => { [doc.positions, renames, removals] = JSON.parse(s); };
  const did = (change, said) => {
    past.push(snapshot()); if (past.length > 60) past.shift(); future = [];
    change();
    if (said) say(said);
    changed();
  };
  const undo = () => { if (past.length) { future.push(snapshot()); restore(past.pop()); changed(); } };
  const redo = () => { if (future.length) { past.push(snapshot()); restore(future.pop()); changed(); } };
  const say = (s) => { line.textContent = s; };
  const rename = (was, now) => {
    if (!was || !now || was === now) return;
    const r = renames.find((x) => x[1] === was);
    if (r) r[1] = now; else renames.push([was, now]);
    renames = renames.filter((x) => x[0] !== x[1]);
  };
  const set = (p, m, typed) => {
    const v = value(m, typed, p);
    if (m.path === "designator") rename(p.designator, v);
    put(p, m.path, v);
    if ((m.path === "part.value" || m.path === "part.text") && v) whole(p, m, v);
  };

  // A text that says more than its column is taken in whole, and that is told.
  const read = new Map();
  const whole = async (p, m, s) => {
    if (!/[a-zµΩ]/i.test(s)) return;
    const body = JSON.stringify({ text: s, ...(p.part?.class ? { class: p.part.class } : {}) });
    if (!read.has(body)) read.set(body, fetch("/v1/parts/read", { method: "POST", headers: { "Content-Type": "application/json" }, body }).then((r) => (r.ok ? r.json() : null)).catch(() => null));
    const a = await read.get(body);
    if (get(p, m.path) !== s || !doc.positions.includes(p)) return;
    if (!a || !a.sure || a.readings.length !== 1 || a.left_over?.length) { say(fill(words.unread, p.designator || "", s)); return; }
    const part = a.readings[0].part, told = Object.keys(part).filter((k) => k !== "class");
    if (m.path === "part.value" && !part.value) { say(fill(words.unread, p.designator || "", s)); return; }
    if (m.path === "part.text") delete p.part.text;
    p.part = { ...p.part, ...part };
    if (told.length > 1) say(fill(words.whole, p.designator || "", s, a.readings[0].canonical || told.map((k) => part[k]).join(" ")));
    changed();
  };

  // What is shown: filtered by designators and ranges or by words, then sorted.
  const ranged = (s, d) => s.split(/[\s,;]+/).some((w) => {
    const r = w.match(/^([A-Za-z]+)(\d+)[-–]\1?(\d+)$/), n = d.match(/^([A-Za-z]+)(\d+)$/);
    return w === d || (r && n && r[1] === n[1] && +n[2] >= +r[2] && +n[2] <= +r[3]);
  });
  const hay = (p) => members.map((m) => text(p, m.path)).join("\n").toLowerCase();
  const find = () => {
    const f = filter.trim(), every = doc.positions.map((_, i) => i), named = every.filter((i) => ranged(f, text(doc.positions[i], "designator")));
    shown = named.length ? named : every.filter((i) => !f || f.toLowerCase().split(/\s+/).every((w) => hay(doc.positions[i]).includes(w)));
    if (!sorted) return;
    const key = (i) => text(doc.positions[i], sorted.path), order = new Intl.Collator(undefined, { numeric: true });
    shown.sort((a, b) => sorted.way * order.compare(key(a), key(b)));
  };

  // The sheet.
  const line = make("p", { className: "sheet-line" });
  line.setAttribute("role", "status");
  const seek = make("input", { id: "seek", autocomplete: "off" }), count = make("span", { className: "sheet-count" });
  const member = make("select", { id: "set-member" }, ...members.map((m) => make("option", { value: m.path, textContent: m.label })));
  const to = make("input", { id: "set-to", autocomplete: "off" }), these = make("span");
  const button = (name, act) => make("button", { type: "button", textContent: words[name], onclick: act });
  const field = (label, input) => make("div", { className: "field" }, make("label", { textContent: label, htmlFor: input.id }), input);
  const table = make("table", { className: "sheet", tabIndex: 0 }), body = make("tbody"), more = button("more", () => { most += 600; render(); });
  table.setAttribute("role", "grid");
  table.setAttribute("aria-label", document.querySelector("table.editor caption")?.closest(".scroll").getAttribute("aria-label") || "");
  const help = make("p", { className: "aside", id: "sheet-hint", textContent: words.hint });
  table.setAttribute("aria-describedby", "sheet-hint");
  const head = make("tr", {}, ...[null, ...columns].map((m) => {
    const th = make("th", { scope: "col" });
    if (!m) th.append(make("span", { className: "hidden", textContent: words.row }));
    else th.append(make("button", { type: "button", className: "plain", textContent: m.label, onclick: () => { sorted = sorted?.path === m.path ? (sorted.way > 0 ? { path: m.path, way: -1 } : null) : { path: m.path, way: 1 }; render(); } }));
    return th;
  }));
  const setMany = () => {
    const m = byPath.get(member.value), rows = [...shown];
    did(() => { for (const i of rows) set(doc.positions[i], m, to.value); }, fill(words.did, m.label, rows.length));
  };
  to.onkeydown = (e) => { if (e.key === "Enter") { e.preventDefault(); setMany(); } };
  seek.oninput = () => { filter = seek.value; at = { r: 0, c: 0 }; anchor = null; render(); };
  seek.onkeydown = (e) => { if (e.key === "Enter") e.preventDefault(); };
  sheet.append(make("div", { className: "sheet-bar" }, field(words.filter, seek), count, button("undo", undo), button("redo", redo),
    button("add", () => did(() => { doc.positions.push({ designator: "", side: "top", x_mm: 0, y_mm: 0, part: { class: "capacitor" }, service: "replace" }); filter = seek.value = ""; open = doc.positions.length - 1; })),
    button("remove", () => did(() => { const gone = new Set(range().rows.map((r) => shown[r])); for (const i of gone) if (doc.positions[i].designator) removals.push(doc.positions[i].designator); doc.positions = doc.positions.filter((_, i) => !gone.has(i)); open = -1; }))),
  make("div", { className: "sheet-bar sheet-many" }, these, field(words.set, member), field(words.to, to), button("go", setMany)), line,
  make("div", { className: "sheet-pane" }, table), more, help);
  table.append(make("thead", {}, head), body);

  const range = () => {
    const a = anchor || at, lo = (k) => Math.min(a[k], at[k]), hi = (k) => Math.max(a[k], at[k]);
    return { rows: Array.from({ length: hi("r") - lo("r") + 1 }, (_, i) => lo("r") + i), cols: Array.from({ length: hi("c") - lo("c") + 1 }, (_, i) => lo("c") + i) };
  };
  const cell = (r, c) => body.querySelector('[data-r="' + r + '"][data-c="' + c + '"]');
  const mark = () => {
    const { rows, cols } = range();
    for (const td of body.querySelectorAll(".in, .now")) td.classList.remove("in", "now");
    for (const r of rows) for (const c of cols) cell(r, c)?.classList.add("in");
    const now = cell(at.r, at.c);
    now?.classList.add("now");
    if (now) { now.id = "sheet-now"; for (const x of body.querySelectorAll("#sheet-now")) if (x !== now) x.removeAttribute("id"); table.setAttribute("aria-activedescendant", "sheet-now"); if (table.contains(document.activeElement)) now.scrollIntoView({ block: "nearest", inline: "nearest" }); }
    const d = doc.positions[shown[at.r]]?.designator;
    for (const g of document.querySelectorAll(".pane g.marked-row")) g.classList.remove("marked-row");
    if (d) document.querySelector('.pane g[data-designator="' + CSS.escape(d) + '"]')?.classList.add("marked-row");
  };
  const panel = (i) => {
    const p = doc.positions[i], box = make("div", { className: "fields" });
    for (const m of members) {
      const id = "open-" + m.path, input = m.choices ? make("select", { id }, ...m.choices.map((c, i) => make("option", { value: c, textContent: m.words[i] }))) : m.kind === "long" ? make("textarea", { id, rows: 2 }) : make("input", { id, autocomplete: "off" });
      if (m.choices && !m.choices.includes(text(p, m.path))) input.prepend(make("option", { value: text(p, m.path), textContent: text(p, m.path) }));
      if (m.path.endsWith("construction")) input.setAttribute("list", "constructions");
      input.value = text(p, m.path);
      input.dataset.path = m.path;
      input.onchange = () => typed(() => set(doc.positions[i], m, input.value));
      box.append(field(m.label, input));
    }
    const td = make("td", { colSpan: columns.length + 1 }, make("fieldset", {}, make("legend", { textContent: text(p, "designator") || words.row + " " + (i + 1) }), box, button("close", () => { open = -1; render(); table.focus(); })));
    return make("tr", { className: "open" }, td);
  };
  const render = () => {
    find();
    at.r = Math.max(0, Math.min(at.r, shown.length - 1));
    body.replaceChildren(...shown.slice(0, most).flatMap((i, r) => {
      const p = doc.positions[i], opener = make("button", { type: "button", className: "plain", textContent: words.open, onclick: () => { open = open === i ? -1 : i; at = { r, c: 0 }; render(); } });
      opener.setAttribute("aria-label", words.open + ", " + (text(p, "designator") || words.row + " " + (i + 1)));
      const tr = make("tr", {}, make("th", { scope: "row" }, opener), ...columns.map((m, c) => { const td = make("td", { textContent: text(p, m.path) }); td.dataset.r = r; td.dataset.c = c; td.setAttribute("role", "gridcell"); return td; }));
      return i === open ? [tr, panel(i)] : [tr];
    }));
    more.hidden = shown.length <= most;
    more.textContent = fill(words.more, shown.length - most);
    count.textContent = fill(words.found, shown.length, doc.positions.length);
    these.textContent = fill(words.these, shown.length);
    for (const [k, th] of [...head.children].entries()) th.setAttribute("aria-sort", k && sorted?.path === columns[k - 1].path ? (sorted.way > 0 ? "ascending" : "descending") : "none");
    mark();
  };

  // refresh says what is new where it stands. While somebody types in the sheet
  // nothing is put in place of what they type into, or are about to.
  let typing = false; // nothing has the focus while it goes from field to field
  const typed = (change) => { typing = true; did(change); typing = false; };
  const refresh = () => {
    if (!typing && !body.contains(document.activeElement)) { render(); return; }
    for (const td of body.querySelectorAll("td[data-r]")) if (!td.firstElementChild) td.textContent = text(doc.positions[shown[td.dataset.r]], columns[td.dataset.c].path);
    for (const i of body.querySelectorAll(".open [data-path]")) if (i !== document.activeElement) i.value = text(doc.positions[open], i.dataset.path);
    mark();
  };

  // Cells are typed into where they stand.
  const edit = (first) => {
    const td = cell(at.r, at.c), m = columns[at.c], p = doc.positions[shown[at.r]];
    if (!td || !p) return;
    const input = make("input", { value: first ?? text(p, m.path), autocomplete: "off" });
    input.setAttribute("aria-label", m.label + ", " + (p.designator || ""));
    if (m.path.endsWith("construction")) input.setAttribute("list", "constructions");
    let over = false;
    const end = (keep, dr = 0, dc = 0, to = null) => {
      if (over) return;
      over = true;
      if (keep && input.value.trim() !== text(p, m.path)) typed(() => set(p, m, input.value));
      td.textContent = text(p, m.path);
      go(dr, dc);
      if (!to) table.focus({ preventScroll: true }); // whoever goes elsewhere is not called back
    };
    input.onkeydown = (e) => {
      e.stopPropagation();
      if (e.key === "Enter") { e.preventDefault(); end(true, 1); } else if (e.key === "Tab") { e.preventDefault(); end(true, 0, e.shiftKey ? -1 : 1); } else if (e.key === "Escape") end(false);
    };
    input.onblur = (e) => end(true, 0, 0, e.relatedTarget);
    td.replaceChildren(input);
    input.focus();
    if (first == null) input.select();
  };
  const go = (dr, dc, far) => {
    if (far) anchor ||= { ...at }; else anchor = null;
    at = { r: Math.max(0, Math.min(shown.length - 1, at.r + dr)), c: Math.max(0, Math.min(columns.length - 1, at.c + dc)) };
    mark();
  };
  body.addEventListener("mousedown", (e) => {
    const td = e.target.closest("td[data-r]");
    if (!td || e.target.tagName === "INPUT") return;
    if (e.shiftKey) anchor ||= { ...at }; else anchor = null;
    at = { r: +td.dataset.r, c: +td.dataset.c };
    mark();
  });
  body.addEventListener("dblclick", (e) => { if (e.target.closest("td[data-r]")) edit(); });
  table.addEventListener("keydown", (e) => {
    if (e.target !== table) return;
    const step = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1], PageDown: [20, 0], PageUp: [-20, 0], Home: [0, -99], End: [0, 99] }[e.key], ctrl = e.ctrlKey || e.metaKey;
    if (step) go(...step, e.shiftKey);
    else if (ctrl && e.key === "z") undo();
    else if (ctrl && (e.key === "y" || e.key === "Z")) redo();
    else if (ctrl && e.key === "d") down();
    else if (e.key === "Enter" || e.key === "F2") edit();
    else if (e.key === "Delete") did(() => { const { rows, cols } = range(); for (const r of rows) for (const c of cols) set(doc.positions[shown[r]], columns[c], ""); });
    else if (e.key.length === 1 && !ctrl && !e.altKey) { edit(""); return; } // the key itself goes into the field
    else return;
    e.preventDefault();
  });
  // down copies the first marked row, or the row above, into the marked ones.
  const down = () => did(() => {
    const { rows, cols } = range(), from = rows.length > 1 ? rows[0] : Math.max(0, rows[0] - 1);
    for (const r of rows) if (r !== from) for (const c of cols) set(doc.positions[shown[r]], columns[c], text(doc.positions[shown[from]], columns[c].path));
  });
  const cellsOf = (s) => s.replace(/\r/g, "").replace(/\n$/, "").split("\n").map((l) => l.split("\t"));
  document.addEventListener("paste", (e) => {
    if (document.activeElement !== table) return;
    e.preventDefault();
    const rows = cellsOf(e.clipboardData.getData("text/plain"));
    let lost = 0;
    did(() => rows.forEach((cs, dr) => {
      while (at.r + dr >= shown.length) { doc.positions.push({ designator: "", side: "top", x_mm: 0, y_mm: 0, part: { class: "capacitor" }, service: "replace" }); shown.push(doc.positions.length - 1); }
      cs.forEach((s, dc) => { const m = columns[at.c + dc]; if (m) set(doc.positions[shown[at.r + dr]], m, s); else if (s.trim()) lost++; });
    }));
    if (lost) say(fill(words.left, lost));
  });
  document.addEventListener("copy", (e) => {
    if (document.activeElement !== table) return;
    const { rows, cols } = range();
    e.clipboardData.setData("text/plain", rows.map((r) => cols.map((c) => text(doc.positions[shown[r]], columns[c].path)).join("\t")).join("\n"));
    e.preventDefault();
  });

  // A position picked in the drawing goes into the field that was last in hand,
  // where that names positions, else its row is marked.
  let hand = null;
  form.addEventListener("focusin", (e) => { if (/\.(positions|between|omit|changes\.\d+\.designator)$/.test(e.target.name || "")) hand = e.target; else if (e.target === table || e.target === seek) hand = null; });
  for (const pane of document.querySelectorAll(".drawing .pane")) pane.addEventListener("click", (e) => {
    const d = e.target.closest("g[data-designator]")?.dataset.designator;
    if (!d) return;
    if (hand) { hand.value = /omit$|designator$/.test(hand.name) || !hand.value.trim() ? d : hand.value.replace(/[,\s]*$/, "") + ", " + d; changed(); return; }
    const i = shown.findIndex((k) => doc.positions[k].designator === d);
    if (i >= 0) { at = { r: i, c: at.c }; anchor = null; if (i >= most) { most = i + 50; render(); } mark(); }
  });

  // Keeping: in this browser at once, on the server some moments later.
  const fieldsNow = () => {
    form.elements.map.value = JSON.stringify(doc);
    const f = new FormData(form);
    for (const k of ["photo", "token"]) f.delete(k);
    if (renames.length) f.append("renamed", JSON.stringify(renames));
    for (const d of removals) f.append("removed", d);
    return f;
  };
  const line2 = document.getElementById("kept-line");
  const local = () => {
    const f = [...fieldsNow()].filter(([k, v]) => k !== "form_key" && typeof v === "string");
    try { localStorage.setItem(place, JSON.stringify({ tab, fields: f })); return true; } catch { return false; }
  };
  let timer = 0, busy = false, over = false;
  const keep = async () => {
    if (busy) { later(); return; }
    busy = true;
    const f = fieldsNow();
    f.set("act", "look");
    if (over) f.set("over", "1");
    over = false;
    try {
      const r = await fetch("/contribute", { method: "POST", body: f });
      if (!r.headers.get("Content-Type")?.includes("json")) throw new Error(String(r.status));
      told(await r.json());
    } catch (e) { line2.textContent = fill(words.lost, e.message) + " " + words.local; }
    busy = false;
  };
  const later = () => { clearTimeout(timer); timer = setTimeout(keep, 1500); };
  const bench = form.querySelector(".bench");
  const told = (a) => {
    const was = sheet.getBoundingClientRect().top;
    bench.style.minHeight = bench.offsetHeight + "px"; // what is below does not jump away under a hand
    if (a.draft) { form.elements.draft.value = a.draft; form.elements.kept.value = a.kept; }
    if (a.refused) line2.replaceChildren(a.refused + " ", button("over", () => { over = true; keep(); }), " ", make("a", { href: "/contribute?draft=" + encodeURIComponent(form.elements.draft.value), textContent: words.other, target: "_blank" }));
    else line2.textContent = a.draft ? fill(words.kept, a.at) : words.local;
    document.getElementById("findings").replaceChildren(...a.findings.map((f) => make("li", { className: f.severity }, f.text + " ", make("small", { textContent: f.where }))));
    document.getElementById("wants")?.replaceChildren(...a.wants.map((w) => make("li", { className: w.severity, textContent: w.text })));
    for (const [id, svg] of [["top-pane", a.top], ["bottom-pane", a.bottom]]) { const pane = document.getElementById(id); if (pane && svg) pane.innerHTML = svg; }
    mark();
    if (was < innerHeight) scrollBy(0, sheet.getBoundingClientRect().top - was);
  };
  const changed = () => { refresh(); local(); later(); };
  form.addEventListener("input", (e) => { if (!sheet.contains(e.target)) { local(); later(); } });
  form.addEventListener("submit", () => {
    clearTimeout(timer);
    form.elements.map.value = JSON.stringify(doc);
    if (renames.length) form.append(make("input", { type: "hidden", name: "renamed", value: JSON.stringify(renames) }));
    for (const d of removals) form.append(make("input", { type: "hidden", name: "removed", value: d }));
    local();
  });
  addEventListener("storage", (e) => {
    if (e.key !== place || !e.newValue) return;
    const other = JSON.parse(e.newValue), of = (k) => other.fields.find((f) => f[0] === k)?.[1];
    if (other.tab !== tab && of("draft") === form.elements.draft.value && of("map.board") === form.elements["map.board"].value) say(words.other);
  });

  sheet.addEventListener("keypress", (e) => { if (e.key === "Enter" && e.target.tagName === "INPUT") e.preventDefault(); }); // Enter ends a cell, it sends nothing
  document.getElementById("plain-table").remove();
  for (const b of document.querySelectorAll("[data-plain]")) b.remove();
  sheet.hidden = false;
  const wanted = new URLSearchParams(location.search).get("open");
  if (wanted) open = doc.positions.findIndex((p) => p.designator === wanted);
  render();
})();
