// Answers for the work page and its files when the program does not; everything else is left alone.
const WORK = /^\/visits\/[0-9a-f-]{36}\/work\/$/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  const page = request.mode === "navigate" && WORK.test(url.pathname);
  const file = url.pathname.startsWith("/static/") || url.pathname.startsWith("/font/");
  if (!page && !file) return;
  event.respondWith(
    fetch(request).catch(async () => (await caches.match(request, { ignoreVary: true })) || Response.error()),
  );
});
