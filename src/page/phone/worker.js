// Keeps the page for use without a network. A newer page is taken when there is a network; the answers
// live in the browser's storage and are not touched here.
"use strict";

const KEPT = "secondball-@version@";
const FILES = ["./", "./index.html", "./manifest.webmanifest"];

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(KEPT)
      .then((kept) => kept.addAll(FILES.map((file) => new Request(file, { cache: "reload" }))))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  const isOld = (name) => name.startsWith("secondball-") && name !== KEPT;
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter(isOld).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  const scope = new URL(self.registration.scope);
  const isOurs = url.origin === scope.origin && url.pathname.startsWith(scope.pathname);
  if (event.request.method !== "GET" || !isOurs) return;
  const fromKept = () =>
    caches.match(event.request, { ignoreSearch: true }).then((found) => found || Response.error());
  const fresh = () =>
    fetch(event.request).then((answer) => {
      if (!answer.ok) return fromKept();
      const copy = answer.clone();
      event.waitUntil(caches.open(KEPT).then((kept) => kept.put(event.request, copy)));
      return answer;
    });
  // A network that does not answer must not keep the page from opening.
  const fromNetwork = fresh().catch(fromKept);
  const late = new Promise((resolve) => setTimeout(resolve, 2500))
    .then(() => caches.match(event.request, { ignoreSearch: true }))
    .then((found) => found || fromNetwork);
  event.respondWith(Promise.race([fromNetwork, late]));
});
