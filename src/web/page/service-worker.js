// Keeps all of the page, so that it opens without a network. The build puts its version and its files in here.
"use strict";
const kVersion = "@VERSION@";
const kFiles = ["@FILES@"];
const kName = `tapersight-${kVersion}`;

self.addEventListener("install", (event) => {
  const fetchAnew = kFiles.map((file) => new Request(file, { cache: "reload" }));
  event.waitUntil(caches.open(kName).then((cache) => cache.addAll(fetchAnew)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const removeOthers = async () => {
    for (const name of await caches.keys())
      if (name.startsWith("tapersight-") && name !== kName) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(removeOthers());
});

self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET") return;
  event.respondWith(caches.match(event.request, { ignoreSearch: true, cacheName: kName })
    .then((kept) => kept ?? fetch(event.request)));
});
