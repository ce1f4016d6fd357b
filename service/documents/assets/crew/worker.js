// Keeps the page on the phone, so that it opens without a network. VERSION is the digest of all its files:
// another version is fetched whole beside the old one, and takes over when the page is opened next.

const VERSION = "{{ version }}";
const FILES = "{{ files }}".split(" ");

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(VERSION).then((cache) => cache.addAll(FILES.map((file) => new Request(file, { cache: "reload" })))));
  self.skipWaiting();
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name !== VERSION).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || !address.pathname.startsWith("/crew/")) return;
  event.respondWith(caches.open(VERSION).then((cache) => cache.match(event.request, { ignoreSearch: true, ignoreVary: true }))
    .then((kept) => kept ?? fetch(event.request)));
});
