// The worker: Round opens without signal. It keeps the scripts and the pages of
// the trips, asks home first and the kept copy when home does not answer. A new
// version gathers its own copies and takes over only when all pages are closed:
// never in the middle of a round. Entries are no business of it: see outbox.js.
const CACHE = "larder-VERSION_HERE";
const FILES = FILES_HERE;
const PATIENCE = 3000;

self.addEventListener("install", (e) => e.waitUntil(gather()));

async function gather() {
	const cache = await caches.open(CACHE);
	await cache.addAll(FILES);
	// The trips that an older version keeps are fetched anew, so that page and
	// scripts are of one version.
	const trips = new Set(["/round"]);
	for (const name of await caches.keys())
		for (const req of await (await caches.open(name)).keys()) {
			const path = new URL(req.url).pathname;
			if (path.startsWith("/round") || path === "/readings/one") trips.add(path);
		}
	await Promise.allSettled([...trips].map(async (path) => {
		const r = await fetch(path, { credentials: "same-origin" });
		if (r.ok && !r.redirected) await cache.put(path, r);
	}));
}

self.addEventListener("activate", (e) => e.waitUntil((async () => {
	for (const name of await caches.keys()) if (name.startsWith("larder-") && name !== CACHE) await caches.delete(name);
})()));

self.addEventListener("fetch", (e) => {
	const url = new URL(e.request.url);
	if (e.request.method !== "GET" || url.origin !== location.origin) return;
	if (url.pathname.startsWith("/assets/")) e.respondWith(kept(e.request));
	else if (e.request.mode === "navigate" && (url.pathname === "/round" || url.pathname === "/readings/one" || /^\/round\/\d+$/.test(url.pathname))) e.respondWith(page(e.request, url.pathname));
	else if (e.request.mode === "navigate") e.respondWith(fetch(e.request).catch(() => page(e.request, "/round")));
});

// A page of a newer version may be kept here before its worker takes over: its
// scripts are kept with it, or it would not open without signal.
async function kept(req) {
	const copy = await caches.match(req);
	if (copy) return copy;
	const r = await fetch(req);
	if (r.ok) {
		const cache = await caches.open(CACHE);
		await cache.put(req, r.clone());
	}
	return r;
}

async function page(req, path) {
	const cache = await caches.open(CACHE);
	const copy = await cache.match(path);
	const fresh = fetch(req).then(async (r) => {
		if (r.ok && !r.redirected) await cache.put(path, r.clone());
		return r;
	});
	if (!copy) return fresh.catch(async () => (await cache.match("/round")) || Response.error());
	fresh.catch(() => {});
	const late = new Promise((ok) => setTimeout(() => ok(copy.clone()), PATIENCE));
	return Promise.race([fresh.catch(() => copy), late]);
}
