// Keeps the pages of boards that were opened, and what they are made of, for
// where there is no network: drawing, list and cautions of both sides, and the
// working order. The network is always asked first. A copy bears when it was
// kept; the page says so. What the server no longer has is thrown away.
"use strict";
const kept = "boardlore-board-1", most = 80;
const page = /^\/boards\/[^/]+(\/job)?$/;
// key is the address without what only changes the view; build, revision and
// side are other pages.
const key = (address) => {
  const u = new URL(address), k = new URL(u.pathname, u.origin);
  if (!page.test(u.pathname)) return u.origin + u.pathname + u.search;
  for (const name of ["variant", "revision", "side"]) if (u.searchParams.get(name)) k.searchParams.set(name, u.searchParams.get(name));
  return k.href;
};
const mine = (u) => u.origin === location.origin && (page.test(u.pathname) || u.pathname.startsWith("/static/"));
// keep asks without the visitor's session, so that a copy holds nobody's.
const keep = async (address) => {
  const cache = await caches.open(kept), answer = await fetch(address, { credentials: "omit" });
  if ([404, 410, 451].includes(answer.status)) return cache.delete(key(address));
  if (!answer.ok || answer.redirected) return;
  const head = new Headers(answer.headers);
  for (const name of ["Content-Encoding", "Content-Length"]) head.delete(name); // what is kept is neither
  head.set("X-Kept", String(Date.now()));
  await cache.put(key(address), new Response(await answer.blob(), { headers: head }));
  const all = await cache.keys();
  for (const old of all.slice(0, Math.max(0, all.length - most))) await cache.delete(old);
};
const copyOf = async (request) => {
  const copy = await caches.match(key(request.url));
  if (!copy || request.mode !== "navigate") return copy;
  const head = new Headers(copy.headers), text = await copy.text();
  return new Response(text.replace("<body", '<body data-kept="' + Number(head.get("X-Kept")) + '"'), { headers: head });
};
self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (e) => e.waitUntil(self.clients.claim()));
self.addEventListener("message", (e) => {
  e.waitUntil(Promise.all((e.data.keep || []).filter((a) => mine(new URL(a))).map((a) => keep(a).catch(() => {}))));
});
self.addEventListener("fetch", (e) => {
  if (e.request.method !== "GET" || !mine(new URL(e.request.url))) return;
  e.respondWith(fetch(e.request).then(async (answer) => {
    if ([404, 410, 451].includes(answer.status)) await (await caches.open(kept)).delete(key(e.request.url));
    return answer;
  }, async (why) => {
    const copy = await copyOf(e.request);
    if (copy) return copy;
    throw why;
  }));
});
