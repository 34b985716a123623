// The service worker: keeps the phone's page and its parts on the phone, and answers for pages when there is no signal.
"use strict";

importScripts({% for url in in_worker %}"{{ url }}"{% if not forloop.last %}, {% endif %}{% endfor %});

const VERSION = "{{ version }}";
const CACHE = `phone-${VERSION}`;
const PAGE = "/phone/";
const ASSETS = [{% for url in assets %}"{{ url }}"{% if not forloop.last %}, {% endif %}{% endfor %}];
const PATIENCE_MS = 10000; // a page that takes longer is as good as no signal
const PATIENCE_KNOWN_MS = 2500; // the phone knows what it is itself

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(CACHE);
    await cache.addAll([PAGE, ...ASSETS].map((url) => new Request(url, { cache: "reload", credentials: "same-origin" })));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith("phone-") && name !== CACHE) await caches.delete(name);
    await self.clients.claim();
  })());
});

const keptPage = async () => (await caches.open(CACHE)).match(PAGE);

// A label's address opens at once where the phone knows what it stands for.
const labelOf = (path) => /^\/(?:[cC]|weigh)\/([2-9A-Za-z]{4,8})\/?$/.exec(path)?.[1].toUpperCase();

const page = async (request, url) => {
  if (url.pathname === PAGE) return (await keptPage()) ?? fetch(request);
  const code = labelOf(url.pathname);
  const scanned = code && /^\/[cC]\//.test(url.pathname);
  const known = scanned ? await YardStore.thing(code).catch(() => null) : null;
  // Who scans a sample has come to weigh it. All else opens its own page, if there is signal.
  if (known?.kind === "sample") return (await keptPage()) ?? fetch(request);
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), known ? PATIENCE_KNOWN_MS : PATIENCE_MS);
  try {
    return await fetch(request, { signal: stop.signal });
  } catch (error) {
    const kept = await keptPage();
    if (kept) return kept;
    throw error;
  } finally {
    clearTimeout(timer);
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(request, url));
  else if (ASSETS.includes(url.pathname)) {
    event.respondWith((async () => (await (await caches.open(CACHE)).match(url.pathname)) ?? fetch(request))());
  }
});

// Where the phone can: what waits is sent as soon as there is signal, even with the page closed.
self.addEventListener("sync", (event) => {
  if (event.tag === "send") event.waitUntil(YardSend.send());
});
