// The page of a proposal works without this. What was ticked and typed is kept
// while one reads, for this version of the map, until the review is given; rows
// for remarks are added in place.
(() => {
  "use strict";
  const form = document.getElementById("review");
  if (!form) return;
  const key = "review-" + form.dataset.keep;
  const fields = () => [...form.elements].filter((f) => f.name && f.type !== "hidden" && f.type !== "submit");
  const save = () => {
    const kept = fields().map((f) => [f.id, f.type === "checkbox" || f.type === "radio" ? f.checked : f.value]);
    try { sessionStorage.setItem(key, JSON.stringify(kept)); } catch { /* a browser that keeps nothing */ }
  };
  const remarks = document.getElementById("remarks");
  const add = () => {
    const last = remarks.lastElementChild, row = last.cloneNode(true);
    const n = "m" + remarks.childElementCount;
    for (const f of row.querySelectorAll("input")) { f.value = ""; f.id = f.id.slice(0, 2) + n; }
    for (const l of row.querySelectorAll("label")) l.htmlFor = l.htmlFor.slice(0, 2) + n;
    remarks.append(row);
    return row;
  };
  let kept = [];
  try { kept = JSON.parse(sessionStorage.getItem(key)) || []; } catch { /* nothing was kept */ }
  const typed = fields().some((f) => f.type === "text" || f.tagName === "TEXTAREA" ? f.value : false);
  if (!typed) for (const [id, value] of kept) {
    while (/^[dx]-m/.test(id) && !document.getElementById(id)) add();
    const f = document.getElementById(id);
    if (!f) continue;
    if (f.type === "checkbox" || f.type === "radio") f.checked = value; else f.value = value;
  }
  form.querySelector("[value=more]").addEventListener("click", (e) => { e.preventDefault(); add().querySelector("input").focus(); save(); });
  document.addEventListener("input", save);
  document.addEventListener("change", save);
  form.addEventListener("submit", () => { try { sessionStorage.removeItem(key); } catch { /* nothing was kept */ } });
})();
