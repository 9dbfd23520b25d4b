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

// unsent is how many entries wait, told to the next page by a cookie: a browser
// that clears its memory mostly leaves those, and so the loss is not silent. Where
// the connection is encrypted it is bound to it, as all cookies are.
const bound = location.protocol === "https:";
const unsent = {
	get() { return Number((bound && /(?:^|; )__Host-larder-unsent=(\d+)/.exec(document.cookie) || /(?:^|; )larder-unsent=(\d+)/.exec(document.cookie))?.[1]) || 0; },
	set(n) {
		const put = (name, n, more) => { document.cookie = `${name}=${n}; path=/; max-age=${n ? 180 * 86400 : 0}; samesite=strict${more}`; };
		try {
			if (bound) put("__Host-larder-unsent", n, "; secure");
			put("larder-unsent", bound ? 0 : n, "");
		} catch { /* a file has none */ }
	},
};

// openOutbox opens the outbox of this phone and keeps it going.
export async function openOutbox() {
	const { store, lost } = await openAny("larder");
	const fillBytes = (b) => crypto.getRandomValues(b);
	const newId = idMaker(() => Date.now(), fillBytes);
	let device = await store.get("device");
	const before = loose ? 0 : unsent.get();
	const gone = !device && !lost && before > 0 ? before : 0; // there were entries here, and now there is nothing at all
	if (!device) {
		device = { id: newId(), name: "" };
		await store.set("device", device).catch(() => {});
	}
	const box = new Outbox({ store, post, clock: () => Date.now(), newId, chance: Math.random, device, later: (f, ms) => { const t = setTimeout(f, ms); return () => clearTimeout(t); } });
	box.lost = lost;
	box.gone = gone || Number(await store.get("gone")) || 0;
	if (gone) await store.set("gone", gone).catch(() => {});
	box.seen = async () => { box.gone = 0; await store.set("gone", 0).catch(() => {}); await box.tell(); }; // a person has read that they are gone
	if (!lost) store.onback = async (n) => { box.back = n; await store.set("device", device).catch(() => {}); await box.tell(); box.kick(); };
	const kick = () => box.kick();
	addEventListener("online", kick);
	document.addEventListener("visibilitychange", () => { if (!document.hidden) kick(); });
	setInterval(() => { if (!document.hidden && box.state.waiting) kick(); }, 30000);
	addEventListener("beforeunload", (e) => { if (lost && box.state.waiting) e.preventDefault(); }); // this window takes them with it
	box.promised = lost ? false : navigator.storage?.persisted?.().catch(() => undefined);
	navigator.storage?.persist?.().then((yes) => { box.promised = yes; }).catch(() => {}); // asked for; the answer changes nothing we do
	if (!loose) box.listen((s) => unsent.set(lost ? 0 : s.waiting + s.refused));
	await box.tell();
	kick();
	return box;
}

// promise says whether the browser has promised to keep entries.
export async function promise(box, words) { return words[await box.promised ? "promised" : "not-promised"]; }

// warnings are what must be read: entries that are gone or were put back, and a
// memory that forgets.
export function warnings(box, words) {
	return [
		box.gone ? el("div", { class: "trouble", role: "alert" }, el("p", {}, fill(words.gone, { count: box.gone })), el("button", { type: "button", onclick: (e) => { e.currentTarget.parentElement.remove(); box.seen(); } }, words.seen)) : null,
		box.back ? el("p", { class: "trouble", role: "alert" }, fill(words["put-back"], { count: box.back })) : null,
		box.lost ? el("p", { class: "trouble" }, words.memory) : null,
	].filter(Boolean);
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
function entrySays(r, words) {
	const b = r.body, colony = b.colony || r.hive || "", name = typeof colony === "object" ? colony.id : colony;
	return r.told || [name, words["kind." + r.kind] || r.kind, b.volume || b.why || b.heft || b.gross || b.lift1 || b.note || ""].filter(Boolean).join(" · ");
}

// What of an entry can be put right on the phone, and under which words.
const mendable = [["colony", "mend.hive"], ["volume", "mend.amount"], ["gross", "mend.weight"], ["lift1", "mend.weight"], ["note", "mend.note"]];

// mender is a small form to put a refused entry right.
function mender(box, r, words, redraw) {
	const boxes = mendable.filter(([k]) => r.body[k] !== undefined).map(([k, key]) => {
		const inner = typeof r.body[k] === "object", id = "mend-" + r.id + "-" + k;
		const input = el("input", { id, autocomplete: "off", value: inner ? r.body[k].id : r.body[k] });
		return { k, inner, input, field: el("div", { class: "field" }, el("label", { for: id }, words[key]), input) };
	});
	if (boxes.length === 0) return null;
	const says = el("p", { role: "status" });
	const form = el("form", { class: "mend" }, boxes.map((b) => b.field), says, el("button", { class: "main" }, words["mend.save"]));
	form.addEventListener("submit", async (e) => {
		e.preventDefault();
		const body = structuredClone(r.body);
		for (const { k, inner, input } of boxes) if (inner) body[k].id = input.value.trim(); else body[k] = input.value.trim();
		try { await box.mend(r.id, body); } catch { says.textContent = words["not-kept"]; return; }
		redraw();
	});
	return el("details", {}, el("summary", {}, words.mend), form);
}

// lookList draws what needs a look, with what can be done about it.
export async function lookList(box, words, redraw) {
	const all = await box.store.all();
	const refused = all.filter((r) => r.state === "refused"), binned = all.filter((r) => r.state === "binned");
	const button = (says, f) => el("button", { type: "button", onclick: async () => { await f(); redraw(); } }, says);
	const item = (r, ...more) => el("li", {}, el("strong", {}, entrySays(r, words)), el("br"), r.why || "", r.hint ? el("span", { class: "hint" }, " " + r.hint) : "", more);
	const ways = (...buttons) => el("div", { class: "ways" }, buttons);
	return [
		refused.length ? el("h2", {}, words.look) : null,
		refused.length ? el("ul", { class: "look" }, refused.map((r) => item(r, mender(box, r, words, redraw), ways(button(words.retry, () => box.retry(r.id)), button(words.bin, () => box.bin(r.id)))))) : null,
		binned.length ? el("h2", {}, words.binned) : null,
		binned.length ? el("ul", { class: "look" }, binned.map((r) => item(r, r.mended ? el("p", {}, words.mended) : ways(button(words.unbin, () => box.unbin(r.id)))))) : null,
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

const hefts = { l: "light", light: "light", f: "fair", fair: "fair", h: "heavy", heavy: "heavy", ligera: "light", media: "fair", pesada: "heavy" };
const amountOf = (text, unit, units) => {
	const m = /^(\d+(?:[.,]\d+)?)\s*([a-z ]*)$/i.exec(text), u = (m?.[2] || "").trim() || unit;
	return m && units.includes(u) ? m[1].replace(",", ".") + " " + u : null;
};

// asEntry gives the facts of a reading typed on the phone, as home would make
// them of it; null for what only home can read.
export function asEntry({ way, unit, feed, hive, first, second, feeder, note }) {
	const out = [];
	let left = null;
	if (/^e$/i.test(first) && !feeder) { first = ""; feeder = "0"; }
	if (feeder && feeder !== "-") {
		left = /^e$/i.test(feeder) ? "0 " + feed : amountOf(feeder, feed, ["L", "US gal", "US qt", "imp gal", feed]);
		if (left === null) return null;
	}
	const word = hefts[first.toLowerCase()];
	let reading = null;
	if (word) reading = { way: "hand", heft: word };
	else if (first && first !== "-") {
		const a = amountOf(first, unit, ["kg", "lb"]);
		if (a === null || way === "hand") return null;
		if (way === "full") reading = { way, gross: a };
		else if (way === "lift1") reading = { way, lift1: a };
		else if (way === "lift2") {
			const b = amountOf(second, unit, ["kg", "lb"]);
			if (b === null) return null;
			reading = { way, lift1: a, lift2: b };
		} else return null;
	}
	if (second && reading?.way !== "lift2") return null;
	if (reading) out.push({ kind: "reading", body: { colony: hive, ...reading, ...(left ? { in_feeder: left } : {}), ...(note ? { note } : {}) } });
	if (left) out.push({ kind: "left", body: { colony: hive, volume: left } });
	if (note && !reading) out.push({ kind: "look", body: { colony: hive, note } });
	return out;
}

// showKept tells in root what a phone that is not let in still keeps, and offers
// a file of it. root.dataset.words are its sentences.
export async function showKept(root) {
	const words = JSON.parse(root.dataset.words);
	const box = await openOutbox();
	const draw = () => {
		const s = box.state, n = s.waiting + s.refused;
		root.hidden = n === 0;
		if (n === 0) return;
		root.replaceChildren(
			el("p", { role: "status" }, el("strong", {}, line(s, words)), document.getElementById("kept") ? "" : " " + words.kept),
			box.lost ? el("p", { class: "trouble" }, words.memory) : "",
			el("p", {}, el("button", { type: "button", id: "save-file", onclick: () => saveFile(box) }, words["save-file"])),
		);
	};
	box.listen(draw);
	draw();
}

// forget takes the copies of pages off a device that is not let in any more: who
// has it then sees no yards and hives on it. The scripts stay, and so do entries:
// they are his who made them.
export async function forget() {
	if (loose || !globalThis.caches) return;
	for (const name of await caches.keys()) {
		if (!name.startsWith("larder-")) continue;
		const cache = await caches.open(name);
		for (const req of await cache.keys()) if (!new URL(req.url).pathname.startsWith("/assets/")) await cache.delete(req);
	}
}
