// Bench views that were opened are kept and shown when the network is gone. Nothing else is.
const KEPT = "bench-1";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", async (event) => {
  const cache = await caches.open(KEPT);
  await cache.addAll(event.data);
  event.source.postMessage("kept");
});

function ours(url) {
  return /^\/(static|face)\/|^\/hymns\/\d+\/bench$|^\/service\/[a-z0-9-]+\/bench$/.test(url.pathname);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin || !ours(url)) return;
  event.respondWith((async () => {
    const cache = await caches.open(KEPT);
    try {
      const fresh = await fetch(event.request);
      if (fresh.ok && (await cache.match(url.pathname))) await cache.put(url.pathname, fresh.clone());
      return fresh;
    } catch (problem) {
      const kept = await cache.match(url.pathname);
      if (kept) return kept;
      throw problem;
    }
  })());
});
