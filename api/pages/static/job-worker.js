// Keeps the job page and what it is made of for where there is no network. The
// network is always asked first; a copy is used only where it does not answer.
"use strict";
const kept = "boardlore-job-1";
const mine = (u) => u.origin === location.origin && (/^\/boards\/[^/]+\/job$/.test(u.pathname) || u.pathname.startsWith("/static/"));
const keep = async (request, answer) => {
  if (answer.ok && answer.type === "basic" && !answer.redirected) await (await caches.open(kept)).put(request, answer.clone());
  return answer;
};
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (e) => e.waitUntil(self.clients.claim()));
self.addEventListener("message", (e) => {
  e.waitUntil(Promise.all((e.data.keep || []).filter((a) => mine(new URL(a))).map((a) => fetch(a).then((x) => keep(a, x)).catch(() => {}))));
});
self.addEventListener("fetch", (e) => {
  if (e.request.method !== "GET" || !mine(new URL(e.request.url))) return;
  e.respondWith(fetch(e.request).then((a) => keep(e.request, a)).catch(async (why) => {
    const copy = await caches.match(e.request) || await caches.match(e.request, { ignoreSearch: e.request.mode === "navigate" });
    if (copy) return copy;
    throw why;
  }));
});
