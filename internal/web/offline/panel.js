// What pages on a phone share: the outbox of this phone, the line that says
// where its entries are, and the list of those that need a look.
import { Outbox, idMaker, statusKey } from "./outbox.js";
import { openAny } from "./idb.js";

// el makes an element; attributes whose value is false or null are left out.
export function el(tag, attrs = {}, ...inside) {
	const e = document.createElement(tag);
	for (const [k, v] of Object.entries(attrs)) {
		if (v === false || v === null || v === undefined) continue;
		if (k.startsWith("on")) e.addEventListener(k.slice(2), v);
		else e.setAttribute(k, v === true ? "" : v);
	}
	e.append(...inside.flat().filter((x) => x !== null && x !== false && x !== undefined));
	return e;
}

// fill puts values into the gaps of a sentence.
export function fill(text, values = {}) { return (text || "").replace(/\{(\w+)\}/g, (all, k) => k in values ? values[k] : all); }

// loose pages have no home to send to: a file opened from the phone's own
// storage.
export const loose = location.protocol === "file:" || location.protocol === "content:" || document.documentElement.hasAttribute("data-loose");

export const mode = loose ? "file"
	: ["localhost", "127.0.0.1", "[::1]"].includes(location.hostname) ? "a"
	: isSecureContext && "serviceWorker" in navigator ? "b" : "c";

async function post(path, object) {
	if (loose) throw new Error("no home from here");
	const r = await fetch(path, { method: "POST", credentials: "same-origin", headers: { "Content-Type": "application/json" }, body: JSON.stringify(object), signal: AbortSignal.timeout?.(20000) });
	let body = null;
	try { body = await r.json(); } catch { /* not ours: the outbox sees that */ }
	return { status: r.status, retryAfter: Number(r.headers.get("Retry-After")) || 0, body };
}

// openOutbox opens the outbox of this phone and keeps it going.
export async function openOutbox() {
	const { store, lost } = await openAny("larder");
	const fillBytes = (b) => crypto.getRandomValues(b);
	const newId = idMaker(() => Date.now(), fillBytes);
	let device = await store.get("device");
	if (!device) {
		device = { id: newId(), name: "" };
		await store.set("device", device).catch(() => {});
	}
	const box = new Outbox({ store, post, clock: () => Date.now(), newId, chance: Math.random, device, later: (f, ms) => { const t = setTimeout(f, ms); return () => clearTimeout(t); } });
	box.lost = lost;
	const kick = () => box.kick();
	addEventListener("online", kick);
	document.addEventListener("visibilitychange", () => { if (!document.hidden) kick(); });
	setInterval(() => { if (!document.hidden && box.state.waiting) kick(); }, 30000);
	navigator.storage?.persist?.().catch(() => {}); // asked for; the answer changes nothing we do
	await box.tell();
	kick();
	return box;
}

// worker lets Round open without signal, where the browser allows it, and keeps
// these pages for then.
export async function worker(paths) {
	if (loose || !isSecureContext || !("serviceWorker" in navigator)) return;
	try {
		// The policy of the page takes no address as bare text: this one is ours.
		const own = globalThis.trustedTypes?.createPolicy("larder-worker", { createScriptURL: () => "/sw.js" });
		await navigator.serviceWorker.register(own ? own.createScriptURL("") : "/sw.js");
		await navigator.serviceWorker.ready;
		const name = (await caches.keys()).filter((n) => n.startsWith("larder-")).pop();
		if (!name) return;
		const cache = await caches.open(name);
		await Promise.allSettled(paths.map(async (p) => {
			const r = await fetch(p, { credentials: "same-origin" });
			if (r.ok && !r.redirected) await cache.put(p, r);
		}));
	} catch { /* no worker: mode c, which the page says */ }
}

const clockTime = (ms) => new Date(ms).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

// line says where the entries of this phone are.
export function line(s, words) {
	const key = statusKey(s);
	return fill(words["line." + key], { count: key === "look" ? s.refused : s.waiting, time: s.sentAt ? clockTime(s.sentAt) : "" });
}

// skewSays tells of a clock that is off, "" when it is right.
export function skewSays(s, words) {
	const off = Math.abs(s.skew);
	if (off <= 600) return "";
	const time = off < 7200 ? Math.round(off / 60) + " min" : off < 172800 ? Math.round(off / 3600) + " h" : Math.round(off / 86400) + " d";
	return fill(words.clock, { time });
}

// saveFile gives the entries that are not at home as a file.
export async function saveFile(box) {
	const blob = new Blob([JSON.stringify(await box.file(), null, 1)], { type: "application/json" });
	const a = el("a", { href: URL.createObjectURL(blob), download: "larder-entries-" + new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-") + ".json" });
	document.body.append(a);
	a.click();
	a.remove();
	setTimeout(() => URL.revokeObjectURL(a.href), 60000);
}

// entrySays puts one entry into words.
function entrySays(r) {
	const b = r.body, colony = b.colony || b.colony?.id || "";
	const name = typeof colony === "object" ? colony.id : colony;
	return [name, r.kind, b.volume || b.why || b.heft || b.gross || b.lift1 || b.note || ""].filter(Boolean).join(" · ");
}

// lookList draws what needs a look, with what can be done about it.
export async function lookList(box, words, redraw) {
	const all = await box.store.all();
	const refused = all.filter((r) => r.state === "refused"), binned = all.filter((r) => r.state === "binned");
	const button = (says, f) => el("button", { type: "button", onclick: async () => { await f(); redraw(); } }, says);
	const item = (r, ...buttons) => el("li", {}, el("strong", {}, entrySays(r)), el("br"), r.why || "", " ", el("span", { class: "hint" }, r.hint || ""), el("div", { class: "ways" }, buttons));
	return [
		refused.length ? el("h2", {}, words.look) : null,
		refused.length ? el("ul", {}, refused.map((r) => item(r, button(words.retry, () => box.retry(r.id)), button(words.bin, () => box.bin(r.id))))) : null,
		binned.length ? el("h2", {}, words.binned) : null,
		binned.length ? el("ul", {}, binned.map((r) => item(r, button(words.unbin, () => box.unbin(r.id))))) : null,
	];
}

// namePhone asks what this phone is called: it stands beside what it wrote.
export function namePhone(box, words) {
	const input = el("input", { id: "phone-name", value: box.device.name, autocomplete: "off" });
	input.addEventListener("change", () => {
		box.device.name = input.value.trim();
		box.store.set("device", box.device);
	});
	return el("div", { class: "field" }, el("label", { for: "phone-name" }, words["phone-name"]), input);
}

// buzz lets the phone be felt, once it has been touched.
export function buzz(pattern) { if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(pattern); }
