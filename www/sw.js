// Keeps the whole site, so that it works without a network after the first load.
// The build fills in the three lists.

const VERSION = __VERSION__;
const LASTING = __LASTING__; // named by content: never out of date
const FRESH = __FRESH__; // same name for every version: asked for anew when there is a network

// Caches are shared by every site of an origin; the scope tells ours apart.
const OURS = `handstand ${new URL(registration.scope).pathname} `;
const address = (path) => new URL(path, registration.scope).href;
const lasting = new Set(LASTING.map(address));
const PATIENCE = 2500; // ms before a slow network is answered for

self.addEventListener('install', (event) => {
  // No skipping of the queue: an open page may still ask for its own worker's files, by their old names.
  event.waitUntil((async () => {
    const cache = await caches.open(OURS + VERSION);
    await cache.addAll([
      ...LASTING.map((path) => new Request(address(path))),
      ...FRESH.map((path) => new Request(address(path), { cache: 'reload' })),
    ]);
  })());
});

self.addEventListener('activate', (event) => {
  event.waitUntil((async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith(OURS) && name !== OURS + VERSION);
    await Promise.all(old.map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method === 'GET' && request.url.startsWith(registration.scope)) event.respondWith(answer(request));
});

async function answer(request) {
  const cache = await caches.open(OURS + VERSION);
  const kept = await cache.match(request.mode === 'navigate' ? address('./') : request, { ignoreSearch: true });
  if (!kept) return fetch(request);
  if (lasting.has(request.url)) return kept;
  const slow = new Promise((resolve) => setTimeout(resolve, PATIENCE, kept.clone()));
  const live = fetch(request).then((response) => (response.ok ? response : kept), () => kept);
  return Promise.race([live, slow]);
}
