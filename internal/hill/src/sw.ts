// Keeps the page on the phone: every file by name, taken from here first, so
// that it opens with no signal. Data never goes through here.
declare const FILES: string[];
declare const BUILD: string;
const self_ = self as unknown as { addEventListener(k: string, f: (e: never) => void): void; registration: { scope: string } };
const cacheName = "firnhand-phone-" + BUILD, engines = "firnhand-engine";

self_.addEventListener("install", (e: { waitUntil(p: Promise<unknown>): void }) => e.waitUntil(caches.open(cacheName).then((c) => c.addAll(FILES.map((f) => new Request("/phone/" + f, { cache: "reload" }))))));
self_.addEventListener("activate", (e: { waitUntil(p: Promise<unknown>): void }) => e.waitUntil(caches.keys().then((all) => Promise.all(all.filter((n) => n.startsWith("firnhand-phone-") && n !== cacheName).map((n) => caches.delete(n))))));
self_.addEventListener("fetch", (e: { request: Request; respondWith(p: Promise<Response>): void }) => {
  const u = new URL(e.request.url);
  if (e.request.method !== "GET" || u.origin !== location.origin || !u.pathname.startsWith("/phone/") || u.pathname === "/phone/sw.js") return;
  e.respondWith(serve(e.request, u.pathname.slice("/phone/".length) || "index.html"));
});

async function serve(r: Request, name: string): Promise<Response> {
  const key = "/phone/" + (r.mode === "navigate" ? "index.html" : name);
  const kept = await (await caches.open(cacheName)).match(key);
  if (kept) return kept;
  if (!name.startsWith("engine")) return fetch(r);
  // The engine is kept once it was fetched; which one belongs to the page is asked when there is signal.
  const c = await caches.open(engines);
  const had = await c.match(key);
  if (had && name !== "engine.json") return had;
  try {
    const got = await fetch(r);
    if (got.ok) await c.put(key, got.clone());
    return got.ok || !had ? got : had;
  } catch (err) {
    if (had) return had;
    throw err;
  }
}
