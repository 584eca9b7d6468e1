// A map from photographs. The lists of points and marks in the form are what is
// sent; this script fills them from what is pointed at in the picture, lays the
// picture flat while one works, and asks the server how well it all fits.
(() => {
  "use strict";
  const form = document.getElementById("photo");
  if (!form) return;
  const one = (q) => form.querySelector(q), all = (q) => [...form.querySelectorAll(q)];
  const words = [...document.getElementById("words").content.children].map((i) => i.dataset.say);
  const [sayPoints, sayPolar, sayLeads, sayCentre, sayNoSize, sayFit, sayMisfit, sayFailed, sayPlus, sayNoFit, sayAgain] = words;
  const fill = (text, ...xs) => xs.reduce((s, x, i) => s.replace(`{${i + 1}}`, x), text);
  const stage = one("#stage"), loupe = one("#loupe"), pen = stage.getContext("2d");
  const next = one("#next"), printed = one("#printed"), mode = one("#mode"), service = one("#service");
  const size = () => [form.elements.width, form.elements.height].map((f) => parseFloat(f.value.replace(",", ".")) || 0);

  // What is known of each side. Points and marks are in pixels of the photograph.
  const blank = () => ({ picture: null, wide: 0, high: 0, points: [], marks: [], flat: null, plane: null, misfits: [] });
  const sides = { top: blank(), bottom: blank() };
  let side = "top", step = "points", chosen = -1, held = null, cursor = null, undone = [], off = {}, view = null;
  const now = () => sides[side];
  next.value ||= "C1";

  // Homographies, as matrices of nine: the linear least squares fit over all
  // points, both sides scaled to one so that no digits are lost.
  const solve = (n, r) => {
    for (let i = 0; i < 8; i++) {
      let at = i;
      for (let k = i + 1; k < 8; k++) if (Math.abs(n[k][i]) > Math.abs(n[at][i])) at = k;
      if (Math.abs(n[at][i]) < 1e-12) return null;
      [n[i], n[at]] = [n[at], n[i]]; [r[i], r[at]] = [r[at], r[i]];
      for (let k = i + 1; k < 8; k++) {
        const f = n[k][i] / n[i][i];
        for (let c = i; c < 8; c++) n[k][c] -= f * n[i][c];
        r[k] -= f * r[i];
      }
    }
    const x = Array(8).fill(0);
    for (let i = 7; i >= 0; i--) {
      x[i] = r[i];
      for (let k = i + 1; k < 8; k++) x[i] -= n[i][k] * x[k];
      x[i] /= n[i][i];
    }
    return x;
  };
  const times = (a, b) => [0, 1, 2].flatMap((i) => [0, 1, 2].map((k) => a[3 * i] * b[k] + a[3 * i + 1] * b[3 + k] + a[3 * i + 2] * b[6 + k]));
  const inverse = (m) => {
    const [a, b, c, d, e, f, g, h, i] = m, A = e * i - f * h, B = f * g - d * i, C = d * h - e * g, det = a * A + b * B + c * C;
    return [A, c * h - b * i, b * f - c * e, B, a * i - c * g, c * d - a * f, C, b * g - a * h, a * e - b * d].map((x) => x / det);
  };
  const through = (m, [x, y]) => { const w = m[6] * x + m[7] * y + m[8]; return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w]; };
  const scaling = (ps) => {
    const n = ps.length, cx = ps.reduce((s, p) => s + p[0], 0) / n, cy = ps.reduce((s, p) => s + p[1], 0) / n;
    const k = Math.SQRT2 / (ps.reduce((s, p) => s + Math.hypot(p[0] - cx, p[1] - cy), 0) / n || 1);
    return [k, 0, -k * cx, 0, k, -k * cy, 0, 0, 1];
  };
  const fitted = (points) => {
    if (points.length < 4) return null;
    const from = scaling(points.map((p) => p.pixel)), to = scaling(points.map((p) => p.mm));
    const n = Array.from({ length: 8 }, () => Array(8).fill(0)), r = Array(8).fill(0);
    for (const p of points) {
      const a = through(from, p.pixel), b = through(to, p.mm);
      for (const k of [0, 1]) {
        const row = Array(8).fill(0);
        row[3 * k] = a[0]; row[3 * k + 1] = a[1]; row[3 * k + 2] = 1; row[6] = -a[0] * b[k]; row[7] = -a[1] * b[k];
        for (let i = 0; i < 8; i++) { r[i] += row[i] * b[k]; for (let c = 0; c < 8; c++) n[i][c] += row[i] * row[c]; }
      }
    }
    const h = solve(n, r);
    return h && times(inverse(to), times([...h, 1], from));
  };

  // The flat picture has so many pixels a millimetre; it is what one works on
  // once four points are known. The bottom is seen from the bottom.
  const flatWidth = 1600;
  const sheet = (s, [w, h], name) => {
    const k = flatWidth / w, mirror = name === "bottom";
    s.toFlat = times([mirror ? -k : k, 0, mirror ? w * k : 0, 0, -k, h * k, 0, 0, 1], s.plane);
    s.toPixel = inverse(s.toFlat);
  };
  const flatten = (s, name) => {
    const [w, h] = size();
    s.plane = w && h ? fitted(s.points.filter((_, i) => !s.misfits.includes(i) || s.points.length < 6)) : null;
    s.flat = null;
    if (!s.plane || !s.picture) return;
    sheet(s, [w, h], name);
    const to = document.createElement("canvas");
    to.width = flatWidth; to.height = Math.max(1, Math.min(4000, Math.round(flatWidth * h / w)));
    const ink = to.getContext("2d"), out = ink.createImageData(to.width, to.height), m = s.toPixel, src = s.data, k = s.shrunk;
    const from = new Uint32Array(src.data.buffer), dots = new Uint32Array(out.data.buffer);
    for (let y = 0, at = 0; y < to.height; y++) for (let x = 0; x < to.width; x++, at++) {
      const px = x + 0.5, py = y + 0.5, q = m[6] * px + m[7] * py + m[8];
      const u = (m[0] * px + m[1] * py + m[2]) / q * k | 0, v = (m[3] * px + m[4] * py + m[5]) / q * k | 0;
      if (u >= 0 && v >= 0 && u < src.width && v < src.height) dots[at] = from[v * src.width + u];
    }
    ink.putImageData(out, 0, 0);
    s.flat = to;
  };

  // Spots of what is shown: of the flat picture, or of the photograph itself.
  const onFlat = () => step === "marks" && now().flat;
  const shown = () => (onFlat() ? now().flat : now().picture);
  const spot = (pixel) => (onFlat() ? through(now().toFlat, pixel) : pixel);
  const pixelOf = (p) => (onFlat() ? through(now().toPixel, p) : p);
  const whole = () => {
    const p = shown();
    if (!p) return;
    const k = Math.min(stage.width / p.width, stage.height / p.height);
    view = { k, x: (stage.width - p.width * k) / 2, y: (stage.height - p.height * k) / 2 };
  };
  const zoom = (by, x = stage.width / 2, y = stage.height / 2) => {
    const k = Math.max(0.05, Math.min(20, view.k * by)), f = k / view.k;
    view = { k, x: x - (x - view.x) * f, y: y - (y - view.y) * f };
    draw();
  };
  const toScreen = ([x, y]) => [view.x + x * view.k, view.y + y * view.k];
  const toSpot = (e) => {
    const b = stage.getBoundingClientRect();
    return [((e.clientX - b.left) * stage.width / b.width - view.x) / view.k, ((e.clientY - b.top) * stage.height / b.height - view.y) / view.k];
  };

  const cross = ([x, y], r, ink, colour) => {
    for (const [wide, c] of [[5, "#14130f"], [2, colour]]) {
      ink.lineWidth = wide; ink.strokeStyle = c;
      ink.beginPath(); ink.moveTo(x - r, y); ink.lineTo(x + r, y); ink.moveTo(x, y - r); ink.lineTo(x, y + r); ink.stroke();
    }
  };
  const label = (text, [x, y], active) => {
    pen.font = "bold 15px sans-serif";
    const w = pen.measureText(text).width + 8;
    pen.fillStyle = active ? "#ffcf3a" : "#fffdf4"; pen.strokeStyle = "#14130f"; pen.lineWidth = 1;
    pen.fillRect(x, y, w, 20); pen.strokeRect(x, y, w, 20);
    pen.fillStyle = "#14130f"; pen.fillText(text, x + 4, y + 15);
  };
  const dot = ([x, y], sign) => {
    pen.beginPath(); pen.arc(x, y, 7, 0, 7); pen.fillStyle = sign === "-" ? "#14130f" : "#fffdf4"; pen.fill();
    pen.lineWidth = 2; pen.strokeStyle = sign === "-" ? "#fffdf4" : "#14130f"; pen.stroke();
    if (sign === "-") { pen.beginPath(); pen.moveTo(x - 4, y); pen.lineTo(x + 4, y); pen.stroke(); }
  };
  const draw = () => {
    const s = now(), p = shown();
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.fillStyle = "#12140f"; pen.fillRect(0, 0, stage.width, stage.height);
    if (!p) return;
    if (!view) whole();
    pen.imageSmoothingEnabled = view.k < 3;
    pen.drawImage(p, view.x, view.y, p.width * view.k, p.height * view.k);
    if (step === "points") s.points.forEach((q, i) => {
      const at = toScreen(q.pixel);
      cross(at, 14, pen, s.misfits.includes(i) ? "#ff5a36" : "#ffcf3a");
      label(String(i + 1), [at[0] + 10, at[1] + 10], s.misfits.includes(i));
      if (s.plane) { // how far the fit has it from there
        const [x, y] = toScreen(through(inverse(s.plane), q.mm));
        pen.lineWidth = 2; pen.strokeStyle = "#ff5a36"; pen.beginPath(); pen.moveTo(...at); pen.lineTo(x, y); pen.stroke();
      }
    });
    else s.marks.forEach((m, i) => {
      const ends = m.at.map((q) => toScreen(spot(q)));
      pen.lineWidth = 4; pen.strokeStyle = i === chosen ? "#ffcf3a" : "#fffdf4";
      if (ends[1]) { pen.beginPath(); pen.moveTo(...ends[0]); pen.lineTo(...ends[1]); pen.stroke(); }
      if (ends[1]) ends.forEach((q, k) => dot(q, m.polar && k === 0 ? "-" : "+")); else cross(ends[0], 9, pen, "#fffdf4");
      label(m.designator, [Math.max(...ends.map((q) => q[0])) + 8, Math.min(...ends.map((q) => q[1])) - 18], i === chosen);
    });
    if (held?.from) {
      const a = toScreen(held.from);
      dot(a, mode.value === "polar" ? "-" : "+");
      if (held.to) { pen.lineWidth = 3; pen.strokeStyle = "#ffcf3a"; pen.beginPath(); pen.moveTo(...a); pen.lineTo(...toScreen(held.to)); pen.stroke(); }
    }
    if (cursor) cross(toScreen(cursor), 18, pen, "#ffcf3a");
  };
  // The loupe stands in the corner that the hand is not in.
  const magnify = (p) => {
    const pic = shown();
    loupe.hidden = !p || !pic;
    if (loupe.hidden) return;
    const ink = loupe.getContext("2d"), k = Math.max(3, view.k * 3), half = loupe.width / 2;
    ink.fillStyle = "#12140f"; ink.fillRect(0, 0, loupe.width, loupe.height);
    ink.drawImage(pic, half - p[0] * k, half - p[1] * k, pic.width * k, pic.height * k);
    cross([half, half], half, ink, "#ffcf3a");
    const at = toScreen(p);
    loupe.classList.toggle("left", at[0] > stage.width / 2);
  };

  // Everything that is done can be undone.
  const snapshot = () => JSON.stringify({ side, step, next: next.value, printed: printed.value, sides: ["top", "bottom"].map((n) => [sides[n].points, sides[n].marks]) });
  const did = (change) => { undone.push(snapshot()); if (undone.length > 200) undone.shift(); change(); changed(); };
  const undo = () => {
    const was = undone.length && JSON.parse(undone.pop());
    if (!was) return;
    ["top", "bottom"].forEach((n, i) => { [sides[n].points, sides[n].marks] = was.sides[i]; });
    next.value = was.next; printed.value = was.printed; chosen = -1; held = null;
    if (was.side !== side || was.step !== step) { side = was.side; step = was.step; view = null; }
    changed();
  };
  const round = (x) => Math.round(x * 10) / 10;
  const lineOf = (m) => m.designator + " " + m.at.flat().map(round).join(" ") + (m.polar && m.at[1] ? " -" : "") + " [" + m.service + "]" + (m.text ? " | " + m.text : "");
  const write = () => {
    for (const n of ["top", "bottom"]) {
      form.elements[n + ".points"].value = sides[n].points.map((p) => [...p.pixel.map(round), ...p.mm].join(" ")).join("\n");
      form.elements[n + ".marks"].value = sides[n].marks.map(lineOf).join("\n");
    }
  };
  const read = () => {
    for (const n of ["top", "bottom"]) {
      const s = sides[n], figures = (t) => t.trim().split(/[\s;]+/).map((x) => parseFloat(x.replace(",", ".")));
      s.points = form.elements[n + ".points"].value.split("\n").map(figures).filter((x) => x.length === 4 && x.every(isFinite))
        .map((x) => ({ pixel: x.slice(0, 2), mm: x.slice(2) }));
      s.marks = form.elements[n + ".marks"].value.split("\n").map((l) => l.match(/^\s*(\S+)((?:[\s;]+-?[\d.,]+){2,4})(\s+[-−])?(?:\s+\[(\w+)\])?(?:\s*\|(.*))?$/)).filter(Boolean)
        .map((m) => ({ designator: m[1], at: [figures(m[2]).slice(0, 2), figures(m[2]).slice(2)].filter((p) => p.length === 2), polar: !!m[3], service: m[4] || "replace", text: (m[5] || "").trim() }));
    }
  };

  // What the browser keeps, so that a closed tab loses nothing.
  const known = form.dataset.known, place = "boardlore.photo" + (known ? "." + known : ""), kept = (n) => (known ? known + "." : "") + n;
  const fields = ["board", "name", "maker", "model", "kind", "width", "height", "top.sha256", "top.wide", "top.high", "bottom.sha256", "bottom.wide", "bottom.high", "top.points", "top.marks", "bottom.points", "bottom.marks"];
  const shelf = () => new Promise((yes, no) => {
    const r = indexedDB.open("boardlore", 1);
    r.onupgradeneeded = () => r.result.createObjectStore("photographs");
    r.onsuccess = () => yes(r.result.transaction("photographs", "readwrite").objectStore("photographs"));
    r.onerror = () => no(r.error);
  });
  const keep = () => { try { localStorage.setItem(place, JSON.stringify(Object.fromEntries(fields.map((f) => [f, form.elements[f].value])))); } catch { /* a full browser keeps less */ } };

  // The server's word on the fit, some moments after the last change.
  let timer = 0, asked = 0;
  const judge = async () => {
    const [w, h] = size(), mine = ++asked;
    const names = ["top", "bottom"].filter((n) => sides[n].points.length >= 4);
    for (const n of ["top", "bottom"]) if (!names.includes(n)) sides[n].misfits = [];
    if (!names.length || !w || !h) { one("#fit").textContent = w && h ? sayNoFit : sayNoSize; return; }
    const marks = (n) => sides[n].marks.map((m) => ({ designator: m.designator, service: m.service, ...(m.text ? { text: m.text } : {}),
      ...(m.at[1] ? { leads: m.at, ...(m.polar ? { negative: m.at[0] } : {}) } : { centre: m.at[0] }) }));
    const body = { board: form.elements.board.value || "new-board", name: form.elements.name.value || "-", equipment: { maker: form.elements.maker.value || "-", model: form.elements.model.value || "-" },
      frame: { width_mm: w, height_mm: h }, photographs: names.map((n) => ({ side: n, width_px: sides[n].wide, height_px: sides[n].high, points: sides[n].points, marks: marks(n) })) };
    let answer;
    try {
      const r = await fetch("/v1/maps/from-photograph", { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });
      answer = await r.json();
    } catch { return; }
    if (mine !== asked) return;
    say(answer, names);
  };
  const say = (a, names) => {
    if (!a.photographs) { one("#fit").textContent = (a.errors && a.errors[0] && a.errors[0].detail) || a.detail || ""; return; }
    names.forEach((n, i) => {
      const s = sides[n], was = String(s.misfits);
      s.misfits = a.problems.map((p) => p.pointer.match(new RegExp("^/photographs/" + i + "/points/(\\d+)$"))).filter(Boolean).map((m) => +m[1]);
      if (String(s.misfits) !== was) flatten(s, n);
    });
    const f = a.photographs[names.indexOf(side)];
    one("#fit").textContent = f ? fill(sayFit, f.rms_mm.toFixed(2), f.max_mm.toFixed(2), f.pixel_mm.toFixed(2)) : sayNoFit;
    const parts = new Map(a.map.positions.map((p) => [p.designator, p]));
    const worst = [...a.marks].sort((x, y) => y.uncertainty_mm - x.uncertainty_mm), middle = worst.length ? worst[worst.length >> 1].uncertainty_mm : 0;
    one("#marked").replaceChildren(...worst.map((m) => {
      const li = document.createElement("li"), b = document.createElement("button"), p = parts.get(m.designator)?.part || {};
      b.type = "button"; b.textContent = m.designator; b.className = "plain";
      b.onclick = () => choose(m.designator);
      li.append(b, " " + ([p.value, p.voltage, p.current, p.text].filter(Boolean).join(" ") || "–") + (p.polarised === false ? " ±" : "") + "  ±" + m.uncertainty_mm.toFixed(2) + " mm");
      if (m.uncertainty_mm > 1.4 * middle) li.append(" " + sayAgain);
      return li;
    }));
    const here = parts.get(chosen >= 0 ? now().marks[chosen]?.designator : "");
    one("#read").textContent = here && here.part ? Object.entries(here.part).filter(([k]) => k !== "class").map(([, v]) => v === true ? "" : v).filter(Boolean).join(" ") : "";
    one("#asked").replaceChildren(...[...a.problems, ...a.questions].map((q) => { const li = document.createElement("li"); li.className = "caution"; li.textContent = q.text; return li; }));
    list();
    draw();
  };
  const choose = (d) => {
    for (const n of ["top", "bottom"]) {
      const i = sides[n].marks.findIndex((m) => m.designator === d);
      if (i < 0) continue;
      if (side !== n) { side = n; view = null; }
      step = "marks"; chosen = i; next.value = d; printed.value = sides[n].marks[i].text; printed.focus();
    }
    hint(); draw();
  };

  // The list of points, whose places can be typed.
  const list = () => {
    const s = now();
    one("#points").replaceChildren(...s.points.map((p, i) => {
      const li = document.createElement("li"), x = document.createElement("input"), y = document.createElement("input"), gone = document.createElement("button");
      [x, y].forEach((f, k) => {
        f.value = p.mm[k]; f.inputMode = "decimal"; f.setAttribute("aria-label", "xy"[k] + ", mm, " + (i + 1));
        f.onchange = () => did(() => { s.points[i].mm[k] = parseFloat(f.value.replace(",", ".")) || 0; });
      });
      gone.type = "button"; gone.textContent = "×"; gone.setAttribute("aria-label", one('[data-act="remove"]').textContent + " " + (i + 1));
      gone.onclick = () => did(() => s.points.splice(i, 1));
      li.append(x, y, gone);
      if (s.plane) { const at = through(s.plane, p.pixel); li.append(" " + Math.hypot(at[0] - p.mm[0], at[1] - p.mm[1]).toFixed(2) + " mm "); }
      if (s.misfits.includes(i)) { const b = document.createElement("strong"); b.textContent = sayMisfit; li.append(b); }
      return li;
    }));
  };
  const hint = () => {
    const [w, h] = size();
    one("#hint").textContent = step === "points" ? (w && h ? sayPoints : sayNoSize) : held?.from && !held.drag ? sayPlus : { polar: sayPolar, leads: sayLeads, centre: sayCentre }[mode.value];
    for (const b of all("[data-side], [data-step]")) b.setAttribute("aria-pressed", String((b.dataset.side || b.dataset.step) === (b.dataset.side ? side : step)));
  };
  const changed = () => {
    write(); keep();
    for (const n of ["top", "bottom"]) {
      const s = sides[n], key = JSON.stringify([s.points, size()]);
      if (key !== s.key) { s.key = key; s.misfits = []; flatten(s, n); if (n === side && step === "marks") view = null; }
    }
    list(); hint(); draw();
    clearTimeout(timer);
    timer = setTimeout(judge, 500);
  };

  // Pointing. The corners come in the order in which a clock's hand meets them;
  // any other place has its millimetres typed.
  const corner = (i) => {
    const [w, h] = size(), at = [[0, h], [w, h], [w, 0], [0, 0]][i];
    return at ? [side === "bottom" ? w - at[0] : at[0], at[1]] : [0, 0];
  };
  const count = (d, by) => d.replace(/\d+(?!.*\d)/, (n) => Math.max(0, +n + by));
  const free = (d) => { const taken = new Set([...sides.top.marks, ...sides.bottom.marks].map((m) => m.designator)); while (taken.has(d)) { const e = count(d, 1); if (e === d) break; d = e; } return d; };
  const put = (...at) => did(() => {
    now().marks.push({ designator: free(next.value.trim() || "C1"), at: at.map(pixelOf), polar: mode.value === "polar" && at.length === 2, service: service.value, text: printed.value.trim() });
    chosen = now().marks.length - 1;
    next.value = free(count(now().marks[chosen].designator, 1));
    held = null;
    printed.focus(); printed.select();
  });
  const press = (p) => {
    if (step === "points") { did(() => now().points.push({ pixel: p, mm: corner(now().points.length) })); if (now().points.length === 4 && now().flat) { step = "marks"; view = null; changed(); } return; }
    if (mode.value === "centre") put(p);
    else if (held?.from && !held.drag) put(held.from, p);
    else { held = { from: p }; hint(); draw(); }
  };
  const nearest = (p) => {
    const s = now(), far = (q) => Math.hypot(q[0] - p[0], q[1] - p[1]) * view.k;
    return s.points.findIndex((q) => far(q.pixel) < 16);
  };
  const fingers = new Map();
  stage.addEventListener("pointerdown", (e) => {
    if (!shown()) return;
    stage.setPointerCapture(e.pointerId);
    fingers.set(e.pointerId, e);
    cursor = null;
    if (fingers.size === 2) { held = null; return; }
    if (e.button === 1 || e.shiftKey) { held = { pan: [e.clientX, e.clientY] }; return; }
    if (e.button !== 0) return;
    e.preventDefault(); stage.focus({ preventScroll: true });
    const p = toSpot(e), i = step === "points" ? nearest(p) : -1;
    if (i >= 0) { undone.push(snapshot()); held = { point: i }; return; }
    if (step === "points" || mode.value === "centre" || held?.from) return;
    held = { from: p, drag: true, at: [e.clientX, e.clientY] };
  });
  stage.addEventListener("pointermove", (e) => {
    if (!shown()) return;
    if (fingers.size === 2 && fingers.has(e.pointerId)) {
      const [a, b] = [...fingers.values()], far = (x, y) => Math.hypot(x.clientX - y.clientX, x.clientY - y.clientY);
      const before = far(a, b), other = a.pointerId === e.pointerId ? b : a, mid = (x, y) => [(x.clientX + y.clientX) / 2, (x.clientY + y.clientY) / 2];
      const box = stage.getBoundingClientRect(), k = stage.width / box.width, m = mid(e, other), was = mid(a, b);
      view.x += (m[0] - was[0]) * k; view.y += (m[1] - was[1]) * k;
      fingers.set(e.pointerId, e);
      zoom(far(e, other) / before || 1, (m[0] - box.left) * k, (m[1] - box.top) * k);
      return;
    }
    const p = toSpot(e);
    if (held?.pan) { const k = stage.width / stage.getBoundingClientRect().width; view.x += (e.clientX - held.pan[0]) * k; view.y += (e.clientY - held.pan[1]) * k; held.pan = [e.clientX, e.clientY]; }
    else if (held?.point >= 0) now().points[held.point].pixel = p;
    else if (held?.from) held.to = p;
    magnify(p); draw();
  });
  const lift = (e) => {
    fingers.delete(e.pointerId);
    if (!shown() || e.type === "pointercancel") { held = null; return; }
    const was = held, p = toSpot(e);
    if (was?.pan) { held = null; return; }
    if (was?.point >= 0) { held = null; changed(); return; }
    if (was?.drag && Math.hypot(e.clientX - was.at[0], e.clientY - was.at[1]) >= 4) { put(was.from, p); return; }
    if (was?.drag) held = { from: was.from };
    if (e.button === 0 && !was?.drag) press(p); else { hint(); draw(); }
  };
  stage.addEventListener("pointerup", lift);
  stage.addEventListener("pointercancel", lift);
  stage.addEventListener("pointerleave", () => { if (!held) magnify(null); });
  stage.addEventListener("wheel", (e) => {
    if (!view) return;
    e.preventDefault();
    const b = stage.getBoundingClientRect(), k = stage.width / b.width;
    zoom(e.deltaY < 0 ? 1.2 : 1 / 1.2, (e.clientX - b.left) * k, (e.clientY - b.top) * k);
  }, { passive: false });
  stage.addEventListener("keydown", (e) => {
    if (!view) return;
    const go = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key], far = e.shiftKey ? 10 : 1;
    if (go) { cursor ||= [(stage.width / 2 - view.x) / view.k, (stage.height / 2 - view.y) / view.k]; cursor = [cursor[0] + go[0] * far, cursor[1] + go[1] * far]; if (held?.from) held.to = cursor; magnify(cursor); draw(); }
    else if (e.key === "Enter" && cursor) press([...cursor]);
    else if (e.key === "+" || e.key === "=") zoom(1.25);
    else if (e.key === "-") zoom(0.8);
    else if (e.key === "0") { whole(); draw(); }
    else if (e.key === "Escape") { held = null; hint(); draw(); }
    else if (e.key === "Delete") act.remove();
    else return;
    e.preventDefault();
  });
  form.addEventListener("keydown", (e) => {
    if ((e.ctrlKey || e.metaKey) && e.key === "z" && !/^(TEXTAREA)$/.test(e.target.tagName)) { e.preventDefault(); undo(); }
    if (e.key === "Enter" && e.target.tagName === "INPUT") e.preventDefault();
  });

  const act = {
    undo, in: () => zoom(1.5), out: () => zoom(1 / 1.5), whole: () => { whole(); draw(); },
    less: () => { next.value = count(next.value, -1); }, more: () => { next.value = count(next.value, 1); },
    remove: () => { if (step === "points") did(() => now().points.pop()); else if (now().marks[chosen]) did(() => { next.value = now().marks[chosen].designator; now().marks.splice(chosen, 1); chosen = -1; }); },
  };
  for (const b of all("[data-act]")) b.onclick = () => act[b.dataset.act]();
  for (const b of all("[data-side]")) b.onclick = () => { side = b.dataset.side; step = now().plane ? "marks" : "points"; chosen = -1; view = null; hint(); list(); draw(); judge(); };
  for (const b of all("[data-step]")) b.onclick = () => { step = b.dataset.step; held = null; view = null; hint(); list(); draw(); };
  mode.onchange = () => { held = null; hint(); };
  const amend = (member, value) => { const m = now().marks[chosen]; if (m) { m[member] = value; changed(); } };
  printed.oninput = () => amend("text", printed.value.trim());
  service.onchange = () => amend("service", service.value);
  for (const f of ["width", "height"]) form.elements[f].addEventListener("change", () => {
    for (const n of ["top", "bottom"]) sides[n].points.forEach((p, i) => { if (i < 4) { const was = side; side = n; p.mm = corner(i); side = was; } });
    changed();
  });
  for (const f of fields.slice(0, 5)) form.elements[f].addEventListener("change", keep);
  for (const t of all("textarea")) t.addEventListener("change", () => did(read));

  // Pictures: from the visitor's disk upright as the camera was held, from the
  // server, or as this browser kept them.
  const show = async (n, blob) => {
    const s = sides[n], picture = await createImageBitmap(blob, { imageOrientation: "from-image" });
    s.picture = picture; s.wide = picture.width; s.high = picture.height;
    s.shrunk = Math.min(1, 3600 / Math.max(picture.width, picture.height));
    const c = document.createElement("canvas");
    c.width = Math.round(picture.width * s.shrunk); c.height = Math.round(picture.height * s.shrunk);
    c.getContext("2d").drawImage(picture, 0, 0, c.width, c.height);
    s.data = c.getContext("2d").getImageData(0, 0, c.width, c.height);
    form.elements[n + ".wide"].value = s.wide; form.elements[n + ".high"].value = s.high;
    side = n; view = null; s.key = ""; step = s.points.length >= 4 ? "marks" : "points";
    one("#work").hidden = false;
    changed();
  };
  const bring = async (n, file) => {
    form.elements[n + ".sha256"].value = "";
    await show(n, file);
    try { const copy = new Blob([await file.arrayBuffer()], { type: file.type }); (await shelf()).put(copy, kept(n)); } catch { /* kept for this page alone */ }
    if (!form.dataset.signed) return;
    const body = new FormData();
    for (const f of ["form_key", "board", "name", "maker", "model", "width", "height"]) body.set(f, form.elements[f].value);
    body.set("act", "keep"); body.set(n + ".photo", file);
    try {
      const r = await fetch(form.action, { method: "POST", body }), it = (await r.json()).find((k) => k.side === n);
      if (it && it.width_px === sides[n].wide && it.height_px === sides[n].high) { form.elements[n + ".sha256"].value = it.sha256; one('[name="' + n + '.photo"]').value = ""; keep(); }
    } catch { one("#hint").textContent = sayFailed; }
  };
  for (const n of ["top", "bottom"]) one('[name="' + n + '.photo"]').addEventListener("change", (e) => { if (e.target.files[0]) bring(n, e.target.files[0]); });
  const go = async () => {
    let was = null;
    try { was = JSON.parse(localStorage.getItem(place)); } catch { /* nothing was kept */ }
    if (was && (known && (was["top.marks"] || was["bottom.marks"] || was["top.points"] || was["bottom.points"]) || !fields.some((f) => f !== "top.wide" && f !== "top.high" && f !== "bottom.wide" && f !== "bottom.high" && form.elements[f].value))) for (const f of fields) form.elements[f].value = was[f] || "";
    read();
    for (const n of ["bottom", "top"]) {
      const sum = form.elements[n + ".sha256"].value;
      try {
        const blob = sum ? await (await fetch("/v1/photographs/" + sum)).blob()
          : sides[n].points.length || sides[n].marks.length || was?.[n + ".wide"] > 0 ? await new Promise(async (yes, no) => { const r = (await shelf()).get(kept(n)); r.onsuccess = () => yes(r.result); r.onerror = () => no(r.error); }) : null;
        if (blob) await show(n, blob);
      } catch { /* the picture is gone; its lists are there */ }
    }
    const last = [...sides.top.marks, ...sides.bottom.marks].at(-1);
    if (last) next.value = free(count(last.designator, 1));
  };
  go();
})();
