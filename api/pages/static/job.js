// One unit's work, kept in this browser alone until it is filed as a record or
// taken away as a file. Without this script the page is read, and worked from
// on paper.
(() => {
  "use strict";
  const root = document.getElementById("job");
  if (!root) return;
  const all = (q, from = root) => [...from.querySelectorAll(q)], one = (q, from = root) => from.querySelector(q);
  const word = (name) => one('[data-word="' + name + '"]').dataset.say;
  const place = "boardlore.jobs." + root.dataset.board;
  const now = () => Date.now();
  const blank = () => ({ id: crypto.randomUUID ? crypto.randomUUID() : String(now()) + Math.random().toString(16).slice(2), begun: now(), touched: now(), fields: { day: root.dataset.today },
    ticks: {}, found: {}, done: {}, reads: {}, text: {}, checks: {}, volts: {}, outcome: "" });

  // What is kept. A browser that keeps nothing says so at once.
  let jobs, job;
  const load = () => {
    try { jobs = JSON.parse(localStorage.getItem(place)) || null; } catch { jobs = null; }
    if (!jobs || !jobs.all || !Object.keys(jobs.all).length) { const j = blank(); jobs = { now: j.id, all: { [j.id]: j } }; }
    job = jobs.all[jobs.now] || Object.values(jobs.all)[0];
  };
  const keep = (touched = true) => {
    if (touched) { job.touched = now(); job.filed = 0; }
    try { localStorage.setItem(place, JSON.stringify(jobs)); } catch { one("[data-unkept]").hidden = false; }
  };

  // The controls, which only a script can serve.
  const designatorOf = (li) => li.dataset.part;
  for (const li of all(".step")) li.append(one("template[data-tick]").content.cloneNode(true));
  for (const li of all(".step.part")) {
    const card = one("template[data-card]").content.cloneNode(true), d = designatorOf(li);
    for (const r of all("input[type=radio]", card)) r.name = "found-" + d;
    for (const m of all("[data-reads]", li)) {
      const x = one("template[data-read]").content.cloneNode(true), input = one("input", x);
      one("span", x).textContent = word(m.dataset.reads);
      one("b", x).textContent = m.dataset.unit;
      input.dataset.of = m.dataset.reads;
      input.dataset.unit = m.dataset.unit;
      one(".reads", card).append(x);
    }
    li.append(card);
  }
  for (const x of all("[data-script]")) x.hidden = false;

  // withUnit adds the unit that figures alone have here.
  const withUnit = (text, unit) => {
    text = text.trim().replace(",", ".");
    return /^[+-]?[\d.]+$/.test(text) && unit ? text + " " + unit : text;
  };
  const figure = (text) => parseFloat(text.replace(",", "."));
  // inUnit is a reading as a figure in a unit, such as 0.47 for 470 Ω in kΩ; NaN where it is not read.
  const times = (unit) => unit.length > 1 ? { p: 1e-12, n: 1e-9, u: 1e-6, µ: 1e-6, μ: 1e-6, m: 1e-3, k: 1e3, K: 1e3, M: 1e6 }[unit[0]] : 1;
  const inUnit = (text, unit) => {
    const [, n, own] = /^\s*([+-]?[\d.,]+)\s*([pnuµμmkKM]?(?:[ΩΩVAFR]|[oO]hms?)?)\s*$/.exec(text) || [, "x", ""];
    if (!own) return figure(n);
    const plain = (u) => u.replace(/ohms?$|Ω|R$/i, "Ω");
    const typed = plain(own.length === 1 && "pnuµμmkKM".includes(own) ? own + unit.slice(-1) : own);
    return typed.slice(-1) === plain(unit).slice(-1) ? figure(n) * times(typed) / times(plain(unit)) : NaN;
  };

  const show = () => {
    for (const f of all("[data-field]")) f.value = job.fields[f.dataset.field] || "";
    for (const li of all(".step")) {
      const box = one(".tick input", li);
      box.checked = !!job.ticks[li.dataset.key];
      li.classList.toggle("ticked", box.checked);
    }
    for (const li of all(".step.part")) {
      const d = designatorOf(li);
      for (const r of all("input[type=radio]", li)) r.checked = job.found[d] === r.value;
      for (const i of all("[data-of]", li)) i.value = job.reads[d + "|" + i.dataset.of] || "";
      one("[data-done]", li).value = job.done[d] || "";
      one("[data-text]", li).value = job.text[d] || "";
      one("[data-photo]", li).value = "";
      showPhoto(li);
      told(li);
    }
    for (const i of all("[data-check]")) i.value = job.checks[i.closest(".step").dataset.key] || "";
    for (const i of all("[data-volts]")) i.value = job.volts[i.dataset.volts] || "";
    for (const r of all("input[name=outcome]")) r.checked = job.outcome === r.value;
    one("[data-pick]").replaceChildren(...Object.values(jobs.all).sort((a, b) => b.touched - a.touched).map((j) => {
      const o = document.createElement("option");
      o.value = j.id;
      o.textContent = (j.fields.unit || word("untitled")) + ", " + (j.fields.day || "") + (j.filed ? " ✓" : "");
      o.selected = j === job;
      return o;
    }));
    judge();
  };

  let last = null; // the step that was next
  // told says of a position what was found, also while its card is closed.
  const told = (li) => { one("[data-told]", li).textContent = job.found[designatorOf(li)] ? one("input:checked + span", one(".found", li)).textContent : ""; };
  // judge works out what follows from what is ticked and read.
  const judge = () => {
    for (const c of all("[data-count]")) {
      const steps = all('[data-stage="' + c.dataset.count + '"]');
      c.textContent = steps.filter((s) => s.classList.contains("ticked")).length + " " + word("of") + " " + steps.length;
    }
    for (const i of all("[data-check]")) {
      const v = inUnit(i.value, i.dataset.unit), low = parseFloat(i.dataset.low), high = parseFloat(i.dataset.high), plain = !isNaN(v);
      const wrong = plain && (v < low || v > high), right = plain && !wrong && (!isNaN(low) || !isNaN(high));
      i.parentElement.classList.toggle("wrong", wrong);
      i.parentElement.classList.toggle("right", right);
      const why = one("[data-outside]", i.closest(".say"));
      if (why) why.hidden = !wrong;
    }
    const barring = all("[data-bars]").filter((s) => !s.classList.contains("ticked")).map((s) => s.dataset.key.slice(4));
    one("[data-barred]").hidden = !barring.length;
    one("[data-barring]").textContent = barring.join(", ");
    for (const box of all('[data-stage="power"] .tick input, [data-stage="after"] .tick input')) box.disabled = barring.length > 0 && !box.closest("[data-measure]");
    for (const i of all("[data-volts]")) {
      const v = figure(i.value);
      one(".tick input", i.closest(".step")).disabled = !(v >= 0 && v <= 5);
    }
    const unfound = all(".step.part").map(designatorOf).filter((d) => !job.found[d] && (job.ticks["out:" + d] || job.text[d] || Object.keys(job.reads).some((k) => k.startsWith(d + "|") && job.reads[k])));
    one("[data-left]").hidden = !unfound.length;
    one("[data-unfound]").textContent = unfound.join(", ");
    for (const g of document.querySelectorAll(".job-drawing g[data-designator]")) {
      const d = g.dataset.designator;
      g.classList.toggle("out", !!job.ticks["out:" + d] && !job.ticks["fit:" + d]);
    }
    const open = all(".step").find((s) => !s.classList.contains("ticked") && !one(".tick input", s).disabled) || all(".step").find((s) => !s.classList.contains("ticked"));
    for (const s of all(".step.now")) s.classList.remove("now");
    const here = one("[data-here]"), onward = one("[data-onward]");
    onward.hidden = !open;
    if (!open) { here.textContent = ""; return; }
    open.classList.add("now");
    const card = one(".card", open);
    if (card && open !== last) card.open = true;
    last = open;
    if (!open.id) open.id = "step-" + all(".step").indexOf(open);
    onward.href = "#" + open.id;
    const steps = all('[data-stage="' + open.dataset.stage + '"]');
    here.textContent = (one("b", open) || open).textContent + " · " + (steps.indexOf(open) + 1) + " " + word("of") + " " + steps.length;
  };

  root.addEventListener("input", (e) => {
    const x = e.target, li = x.closest(".step"), d = li && designatorOf(li);
    if (x.dataset.field) job.fields[x.dataset.field] = x.value;
    else if (x.name === "outcome") job.outcome = x.value;
    else if (x.dataset.check) job.checks[li.dataset.key] = x.value;
    else if (x.dataset.volts) job.volts[x.dataset.volts] = x.value;
    else if (x.dataset.of) job.reads[d + "|" + x.dataset.of] = x.value;
    else if ("done" in x.dataset) job.done[d] = x.value;
    else if ("text" in x.dataset) job.text[d] = x.value;
    else if (x.type === "radio" && d) { job.found[d] = x.value; told(li); }
    else if (x.type === "checkbox" && li) {
      if (x.checked) job.ticks[li.dataset.key] = now(); else delete job.ticks[li.dataset.key];
      li.classList.toggle("ticked", x.checked);
      const card = d && one(".card", li);
      if (card && x.checked && job.found[d]) card.open = false;
    } else return;
    keep();
    judge();
  });
  one("[data-pick]").addEventListener("change", (e) => { jobs.now = e.target.value; job = jobs.all[jobs.now]; keep(false); show(); });
  one("[data-new]").addEventListener("click", () => { job = blank(); jobs.all[job.id] = job; jobs.now = job.id; keep(); show(); one("[data-field=unit]").focus(); });
  one("[data-drop]").addEventListener("click", (e) => {
    if (!confirm(e.target.dataset.ask)) return;
    delete jobs.all[job.id];
    localStorage.setItem(place, JSON.stringify(jobs));
    load(); keep(false); show();
  });

  // away: who comes back measures again, since charge does too.
  const away = () => {
    const gone = now() - job.touched, some = Object.keys(job.ticks).length > 0;
    if (gone < 30 * 60e3 || !some) return;
    for (const k of Object.keys(job.ticks)) if (k.startsWith("safe:")) delete job.ticks[k];
    job.volts = {};
    one("[data-away]").hidden = false;
    one("[data-gone]").textContent = gone < 2 * 3600e3 ? Math.round(gone / 60e3) + " " + word("minutes") : Math.round(gone / 3600e3) + " " + word("hours");
    keep(false);
  };

  // The record, as the contract has it; x-job is the job itself, so that the
  // file can be loaded again.
  const record = () => {
    const symptoms = (job.fields.symptoms || "").split(/[;,]/).map((s) => s.trim()).filter(Boolean);
    const r = { board: root.dataset.board, revision: +root.dataset.revision, unit: job.fields.unit || word("untitled"), serviced_on: job.fields.day || root.dataset.today,
      outcome: job.outcome || "not-tested", positions: [] };
    if (r.serviced_on > root.dataset.today) r.serviced_on = root.dataset.today;
    if (root.dataset.variant) r.variant = root.dataset.variant;
    if (symptoms.length) r.symptoms = symptoms.slice(0, 32);
    for (const li of all(".step.part")) {
      const d = designatorOf(li);
      if (!job.found[d]) continue;
      const e = { designator: d, found: job.found[d], done: job.done[d] || (job.ticks["fit:" + d] ? "replaced" : "left") };
      const measured = all("[data-of]", li).map((i) => ({ of: i.dataset.of, value: withUnit(job.reads[d + "|" + i.dataset.of] || "", i.dataset.unit) })).filter((m) => m.value);
      if (measured.length) e.measured = measured;
      if (job.text[d]) e.text = job.text[d];
      r.positions.push(e);
    }
    const last = new Map(); // what is measured twice counts as it was at last
    for (const i of all("[data-check]")) {
      const value = withUnit(job.checks[i.closest(".step").dataset.key] || "", i.dataset.unit);
      if (value) last.set(i.dataset.check, value);
    }
    const checks = [...last].map(([id, value]) => ({ id, value }));
    if (checks.length) r.checks = checks;
    if (job.fields.notes) r.notes = job.fields.notes;
    if (job.fields.kit) {
      r.kit = { kit: job.fields.kit };
      const left = [...new Set((job.fields.kitLeft || "").match(/\d{1,6}/g) || [])].map(Number).filter(Boolean);
      const missing = [...new Set((job.fields.kitMissing || "").split(/[\s,;]+/).filter(Boolean))];
      if (left.length) r.kit.left_over = left;
      if (missing.length) r.kit.missing = missing;
    }
    return r;
  };
  // Photographs stay in this browser until the record is made; then they are
  // kept on the server, and the record names them.
  const shelf = () => new Promise((yes, no) => {
    const r = indexedDB.open("boardlore", 1);
    r.onupgradeneeded = () => r.result.createObjectStore("photographs");
    r.onsuccess = () => yes(r.result.transaction("photographs", "readwrite").objectStore("photographs"));
    r.onerror = () => no(r.error);
  });
  const photoKey = (d) => "job-" + job.id + "-" + d;
  const photoOf = async (d) => { const store = await shelf(); return new Promise((yes) => { const r = store.get(photoKey(d)); r.onsuccess = () => yes(r.result); r.onerror = () => yes(null); }); };
  const showPhoto = async (li) => {
    const img = one("[data-shown]", li), d = designatorOf(li), blob = job.photos && job.photos[d] ? await photoOf(d) : null;
    img.hidden = !blob;
    if (blob) img.src = URL.createObjectURL(blob);
  };
  for (const li of all(".step.part")) one("[data-photo]", li).addEventListener("change", async (e) => {
    const file = e.target.files[0], d = designatorOf(li);
    if (!file) return;
    const copy = new Blob([await file.arrayBuffer()], { type: file.type }); // the file itself may go from the disk meanwhile
    (await shelf()).put(copy, photoKey(d));
    (job.photos ||= {})[d] = "kept";
    keep();
    showPhoto(li);
  });
  const sendPhotos = async () => {
    const sums = [];
    for (const d of Object.keys(job.photos || {})) {
      if (job.photos[d].length !== 64) {
        const blob = await photoOf(d), body = new FormData();
        if (!blob) continue;
        body.set("form_key", form.elements.form_key.value);
        body.set("act", "keep");
        body.set("top.photo", blob, "photograph");
        const r = await fetch("/contribute/photo", { method: "POST", body });
        if (!r.ok) throw new Error(String(r.status));
        job.photos[d] = (await r.json())[0].sha256;
        keep(false);
      }
      sums.push(job.photos[d]);
    }
    return [...new Set(sums)];
  };
  const form = one("[data-file-form]");
  form.addEventListener("submit", async (e) => {
    const r = record();
    form.elements.once.value = "job-" + job.id + "-" + job.touched;
    form.elements.job.value = job.id;
    form.elements.record.value = JSON.stringify(r);
    if (!Object.keys(job.photos || {}).length) return;
    e.preventDefault();
    try {
      r.photographs = await sendPhotos();
      form.elements.record.value = JSON.stringify(r);
      form.submit();
    } catch { one("[data-unsent]").hidden = false; }
  });
  one("[data-export]").addEventListener("click", () => {
    const a = document.createElement("a");
    a.href = URL.createObjectURL(new Blob([JSON.stringify({ ...record(), "x-job": job }, null, 1)], { type: "application/json" }));
    a.download = root.dataset.board + "-" + (job.fields.day || "job") + ".json";
    document.body.append(a);
    a.click();
    a.remove();
    setTimeout(() => URL.revokeObjectURL(a.href), 60e3);
  });
  one("[data-import]").addEventListener("change", async (e) => {
    const unread = one("[data-unread]");
    try {
      const r = JSON.parse(await e.target.files[0].text()), j = { ...blank(), ...(r["x-job"] || {}) };
      if (r.board !== root.dataset.board) throw new Error("another board");
      if (!r["x-job"]) {
        j.fields = { unit: r.unit, day: r.serviced_on, symptoms: (r.symptoms || []).join("; "), notes: r.notes || "",
          kit: r.kit?.kit || "", kitLeft: (r.kit?.left_over || []).join(", "), kitMissing: (r.kit?.missing || []).join(", ") };
        j.outcome = r.outcome || "";
        for (const p of r.positions) {
          j.found[p.designator] = p.found;
          j.done[p.designator] = p.done;
          if (p.text) j.text[p.designator] = p.text;
          for (const m of p.measured || []) j.reads[p.designator + "|" + m.of] = m.value;
        }
        for (const c of r.checks || []) for (const i of all('[data-check="' + CSS.escape(c.id) + '"]')) j.checks[i.closest(".step").dataset.key] = c.value;
      }
      jobs.all[j.id] = job = j;
      jobs.now = j.id;
      unread.hidden = true;
      keep(); show();
    } catch { unread.hidden = false; }
    e.target.value = "";
  });

  // What to look at next: asked of the server, or, without a network, of what
  // the map names.
  one("[data-look]").addEventListener("click", async () => {
    const list = one("[data-suspects]"), found = new Map();
    const said = (job.fields.symptoms || "").split(/[;,]/).map((s) => s.trim()).filter(Boolean).slice(0, 8);
    const failed = Object.keys(job.found).filter((d) => !["good", "missing", "differs"].includes(job.found[d])).slice(0, 40);
    const questions = said.map((q) => "q=" + encodeURIComponent(q));
    if (failed.length) questions.push(failed.map((d) => "failed=" + encodeURIComponent(d)).join("&"));
    const add = (p) => {
      const k = p.id || p.designator, old = found.get(k);
      if (!old) found.set(k, p); else found.set(k, { ...(old.score < p.score ? p : old), why: [...new Set([...old.why, ...p.why])] });
    };
    for (const i of all(".reading.wrong [data-check]")) {
      for (const d of i.dataset.behind.split(/[,\s]+/).filter(Boolean)) add({ designator: d, title: d, why: [list.dataset.read + " " + i.dataset.title + "."], score: 1 });
    }
    let apart = false;
    for (const q of questions) {
      try {
        const a = await fetch("/v1/symptoms?board=" + encodeURIComponent(root.dataset.board) + "&" + q);
        if (a.ok) (await a.json()).points.forEach(add);
      } catch { apart = true; }
    }
    if (apart) {
      const words = said.join(" ").toLowerCase().split(/[^\p{L}\p{N}]+/u).filter((w) => w.length > 2);
      for (const li of all("[data-point]")) {
        if (words.some((w) => li.dataset.symptoms.toLowerCase().includes(w))) found.set(li.dataset.point, { title: li.textContent, why: [list.dataset.apart], score: 0 });
      }
    }
    const looked = (p) => p.designator && job.found[p.designator];
    list.replaceChildren(...[...found.values()].filter((p) => !looked(p) && p.score >= 0).sort((a, b) => b.score - a.score).slice(0, 8).map((p) => {
      const li = document.createElement("li"), b = document.createElement("b"), why = document.createElement("small");
      b.textContent = p.title;
      why.textContent = " " + p.why.join(" ");
      const target = p.designator && document.getElementById("out-" + p.designator);
      if (target) { const a = document.createElement("a"); a.href = "#" + target.id; a.append(b); li.append(a, why); } else li.append(b, why);
      return li;
    }));
    if (!list.children.length) { const li = document.createElement("li"); li.textContent = list.dataset.none; list.append(li); }
  });

  load();
  const filed = root.dataset.filed, done = filed && jobs.all[root.dataset.job];
  if (done) {
    done.filed = +filed;
    job = done;
    jobs.now = done.id;
    one("[data-filed-note]").hidden = false;
  }
  away();
  keep(false);
  show();
  addEventListener("pageshow", () => { away(); show(); });
  addEventListener("storage", (e) => { if (e.key === place) { load(); show(); } });

  // A copy says how old it is; an old one asks first.
  const age = now() - Date.parse(root.dataset.made);
  one("[data-offline]").hidden = navigator.onLine;
  addEventListener("online", () => { one("[data-offline]").hidden = true; });
  addEventListener("offline", () => { one("[data-offline]").hidden = false; });
  if (age > 24 * 3600e3) {
    one("[data-old]").hidden = false;
    one("[data-age]").textContent = Math.round(age / 3600e3) + " " + word("hours");
  }
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register(root.dataset.worker, { scope: "/boards/" + root.dataset.board + "/job" }).then(() => navigator.serviceWorker.ready).then((r) => {
      const assets = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon], script[src], .site img")].map((x) => x.href || x.src);
      r.active.postMessage({ keep: [location.href.split("#")[0], ...assets] });
    }).catch(() => {});
  }
})();
