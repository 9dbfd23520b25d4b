// Round: one hive a screen, one thumb, no signal needed. Everything shown comes
// from the trip's document and this phone's entries; everything done becomes an
// entry before the screen says so.
import { inForce } from "./outbox.js";
import { amount, asText, doneAt, feeder, fold, geo, jug, openAt, room, runsShort, shown, sum, told, typed, visit } from "./fold.js";
import { buzz, el, fill, line, lookList, loose, mode, openOutbox, promise, saveFile, skewSays, warnings, worker } from "./panel.js";

const root = document.getElementById("trip");
let doc = JSON.parse(root.dataset.trip);
const words = doc.words;
const title = document.querySelector("main h1");
const box = await openOutbox();
const store = box.store;

// Where we are: which stop, which hive, which page of it. Kept, so that a phone
// that dies opens where it was.
let at = { stop: 0, hive: "", view: "stop", ...(await store.get("at:" + doc.on)) };
let tank = (await store.get("tank:" + doc.on)) || null;
let aloud = (await store.get("aloud")) || false;
let draft = {};          // what is picked at this hive and not saved yet
let digits = "";         // of the pad
let asked = "";          // what was typed when it was asked about
let said = "";           // the last thing done
let lastAct = null;      // to undo
let state, records = [];
let quiet = 0;           // no taps until then: a second tap of the same thumb
let ticking = null;
let run = null;          // of codes, as it was begun
let turning = false, turn = 0; // codes shown one after the other by themselves
const TURN = 1500;       // ms; a camera needs less

const t = (key, values) => fill(words[key], values);
const stop = () => doc.stops[at.stop];
const hiveNow = () => [...stop().hives, ...stop().others].find((h) => h.colony === at.hive);

async function refold() {
	records = await store.all();
	state = fold(doc, records, tank);
}

async function go(change) {
	at = { ...at, ...change };
	digits = asked = "";
	if ("hive" in change) draft = {};
	if (at.view !== "codes") turning = false;
	stopCount();
	calm();
	store.set("at:" + doc.on, at).catch(() => {}); // the place is a comfort, not an entry
	await draw();
	scrollTo(0, 0);
	title.focus({ preventScroll: true });
}

// A button of the yard: acts when the finger is lifted, once.
function big(says, f, attrs = {}) {
	return el("button", { type: "button", ...attrs, onclick: async (e) => {
		if (performance.now() < quiet && !attrs["data-pad"]) return;
		if (!attrs["data-pad"]) quiet = performance.now() + 400;
		const b = e.currentTarget;
		b.disabled = !attrs["data-pad"];
		try { await f(); } finally { b.disabled = false; }
	} }, says);
}

// answers are what a look on the spot can say of what holds a hive back; 2 is
// "no". Disease seen, no queen and the like are not answered in passing.
const answers = { "hold-super": { super: 2 }, "ask-super": { super: 2 }, "ask-disease": { disease: 2 }, "ask-treatment": { treatment: 2 } };

// nextOpen gives the hive after this one that has nothing yet; round the end of
// the row it comes back to those skipped only when asked.
function nextOpen() {
	const list = stop().hives, i = list.findIndex((h) => h.colony === at.hive);
	return list.slice(i + 1).find((h) => doneAt(state, h.colony).length === 0 && !h.elsewhere);
}

async function onward() {
	const h = nextOpen();
	await go(h ? { hive: h.colony, view: "hive" } : { view: "sum" });
}

// keep saves facts. Only when they are durable does the screen go on.
async function keep(facts, says, then) {
	if (facts.length === 0) return then?.();
	const h = hiveNow();
	try {
		const saved = await box.save(h ? facts.map((f) => ({ ...f, told: told(doc, h, f) })) : facts, { trip: doc.on, hive: at.hive });
		lastAct = { act: saved[0].act, hive: at.hive, stop: at.stop };
		said = t("on-phone") + " " + says;
	} catch (e) {
		console.warn("not kept", e);
		said = "";
		alarm(t("not-kept"));
		return;
	}
	calm();
	buzz(30);
	await refold();
	await then?.();
}

// An alarm stays until he goes on: what is drawn anew meanwhile, because home
// answered, does not take it away.
function calm() { document.querySelector(".alarm")?.remove(); }

function alarm(says) {
	calm();
	root.prepend(el("div", { class: "trouble alarm", role: "alert" }, el("p", {}, says), el("button", { type: "button", onclick: () => saveFile(box) }, t("save-file"))));
	scrollTo(0, 0);
}

async function undo() {
	if (!lastAct) return;
	const { act, hive, stop } = lastAct;
	try { await box.undo(act, { trip: doc.on, hive }); } catch { alarm(t("not-kept")); return; }
	lastAct = null;
	said = t("undone", { hive });
	await refold();
	await go({ stop, hive, view: "hive" });
}

// ---------------------------------------------------------------- the pages

const views = {
	stop() {
		const s = stop(), open = openAt(state, s), chores = s.chores.filter((c) => !choreDone(s, c));
		title.textContent = s.name;
		return [
			el("p", { class: "lead" }, t("stop.of", { count: at.stop + 1, of: doc.stops.length }) + " · " + t("stop.here", { count: s.hives.length, amount: s.syrup_says })),
			doc.fill && at.stop === 0 ? el("p", { class: "stopper", id: "fill" }, doc.fill.says, doc.fill.more ? el("span", {}, " " + doc.fill.more) : null) : null,
			doc.fill?.has_place && at.stop === 0 ? el("p", {}, el("a", { class: "button wide", href: geo(doc.fill) }, t("fill.map", { name: doc.fill.name }))) : null,
			s.access ? el("p", {}, s.access) : null,
			s.has_place && at.stop >= 0 ? el("p", {}, el("a", { class: "button wide", href: geo(s) }, t("map"))) : null,
			...[words["caution.sting"], words["caution.super"], words["caution.robbing"]].map((c) => el("p", { class: "caution", "data-word": words.caution }, c)),
			chores.length ? el("p", {}, t("first-here")) : null,
			chores.map((c) => big(t("did", { what: t("chore." + c) }), () => keep([{ kind: "chore", body: { yard: s.yard, what: c } }], t("said.chore"), draw), { "data-chore": c })),
			t("mode." + mode) ? el("p", { class: "mode" }, t("mode." + mode)) : null,
			big(open.length ? t("start", { count: open.length }) : t("all-done"), async () => { await go(open.length ? { hive: open[0].colony, view: "hive" } : { view: "sum" }); }, { class: "main", id: "start" }),
			el("div", { class: "pair" }, big(t("list"), () => go({ view: "list" })), doc.stops.length > 1 ? big(t("other-yard"), () => go({ view: "stops" })) : el("a", { class: "button", href: "/round" }, t("leave"))),
		];
	},

	hive() {
		const h = hiveNow();
		if (!h) return views.list();
		title.textContent = h.colony;
		const mine = doneAt(state, h.colony), n = stop().hives.findIndex((x) => x.colony === h.colony);
		const held = h.hold.length > 0 && !draft.free;
		const left = draft.left ?? state.hives.get(h.colony)?.left ?? null;
		const fits = left === null ? Infinity : room(doc, h, left);
		const short = runsShort(doc, state, at.stop);
		return [
			el("p", { class: "lead" }, n >= 0 ? t("hive.of", { count: n + 1, of: stop().hives.length, yard: stop().name }) : stop().name, " · ", h.feeder || t("no-feeder")),
			el("p", { class: "tank" + (short >= 0 ? " low" : "") }, t("tank", { amount: amount(doc, Math.max(state.level, 0)) }), short >= 0 ? el("strong", {}, " " + t(short === 0 ? "short.now" : "short.in", { count: short })) : null),
			h.elsewhere ? el("p", { class: "stopper" }, t("elsewhere")) : null,
			held ? el("p", { class: "stopper" }, h.hold.map((x) => x.say).join(" ")) : null,
			...mine.map((d) => el("p", { class: "done" }, d.says + (d.home ? " · " + d.at + (d.by ? " · " + d.by : "") : ""))),
			el("div", { class: "top" }, el("p", { class: "amount" }, h.plan_l > 0 ? h.plan_says : t("nothing-planned")),
				h.seconds && h.plan_l > 0 ? big(t("count", { time: h.seconds }), () => count(h.seconds), { id: "count" }) : null),
			fits < h.plan_l - 0.1 ? el("p", { class: "stopper" }, t("room", { amount: jug(doc, fits) })) : null,
			el("fieldset", { class: "left" }, el("legend", {}, t("left"), " ", el("span", {}, h.expect ? t("left.expect", { amount: h.expect }) : h.left_says)),
				h.left.map((q) => big(q.says, async () => { draft.left = draft.left === q.text ? undefined : q.text; draft.leftSays = q.says; await draw(); }, { "aria-pressed": String(draft.left === q.text), "data-pad": "1" })),
				big(t("left.other"), () => go({ view: "pad", what: "left" }), { "aria-pressed": String(Boolean(draft.left) && !h.left.some((q) => q.text === draft.left)) })),
			held ? (h.hold.every((x) => x.code in answers) ? big(t("free"), async () => {
				draft.free = true;
				draft.extra = [{ kind: "look", body: Object.assign({ colony: h.colony }, ...h.hold.map((x) => answers[x.code])) }];
				await draw();
			}, { class: "wide", id: "free" }) : null)
				: mine.length ? big(t("on"), onward, { class: "main" })
				: h.plan_l > 0 ? big(t("given"), () => given(h.plan_text, h.plan_says), { class: "main", id: "given" }) : big(t("other"), () => go({ view: "pad", what: "given" }), { class: "main" }),
			el("div", { class: "pair" }, big(t("other"), () => go({ view: "pad", what: "given" }), { id: "other", class: held ? "gone" : "" }), big(t("not-fed"), () => go({ view: "why" }), { id: "notfed" })),
			el("div", { class: "three" }, big(t("undo"), undo, { id: "undo", class: lastAct ? "" : "off" }), big(t("skip"), async () => { await keepDraft(); await onward(); }, { id: "skip" }), big(t("more"), () => go({ view: "more" }), { id: "more" })),
		];
	},

	why() {
		const h = hiveNow();
		title.textContent = t("not-fed-why", { hive: h.colony });
		return [el("div", { class: "stack" }, doc.not_fed.map((w) => big(w.says, () => notFed(w), { "data-why": w.why })), big(t("back"), () => go({ view: "hive" })))];
	},

	pad() {
		const h = hiveNow(), what = at.what;
		title.textContent = t("pad." + what, { hive: h ? h.colony : "" });
		const unit = what === "weight" ? doc.mass.unit : what === "tank" ? doc.volume.unit : feeder(doc).unit;
		const screen = el("output", { class: "amount", id: "typed" }, (digits || "–").replace(".", doc.volume.decimal) + " " + unit);
		const press = (d) => {
			if (d === "<") digits = digits.slice(0, -1);
			else if (d === ".") { if (!digits.includes(".")) digits += digits === "" ? "0." : "."; } else if (digits.replace(".", "").length < 5) digits += d;
			screen.textContent = (digits || "–").replace(".", doc.volume.decimal) + " " + unit;
		};
		return [
			screen,
			el("div", { class: "pad" }, ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "<"].map((d) => big(d === "." ? doc.volume.decimal : d === "<" ? "⌫" : d, () => press(d), { "data-pad": "1", "aria-label": d === "<" ? t("erase") : false }))),
			big(t("pad.save"), () => padSave(what), { class: "main", id: "pad-save" }),
			big(t("back"), () => go({ view: what === "tank" ? at.why ? "sum" : "more" : "hive" }), { class: "wide" }),
		];
	},

	more() {
		const h = hiveNow();
		title.textContent = t("more");
		return [el("div", { class: "stack" },
			big(t("heft") + ": " + t("heft.light"), () => heft("light")), big(t("heft") + ": " + t("heft.fair"), () => heft("fair")), big(t("heft") + ": " + t("heft.heavy"), () => heft("heavy")),
			big(t("weight"), () => go({ view: "pad", what: "weight" })),
			big(t("note"), () => go({ view: "note" })),
			big(t("tank-now"), () => go({ view: "pad", what: "tank" })),
			big(t("add"), () => go({ view: "add" })),
			big(t("list"), () => go({ view: "list" })),
			big(t("stop-empty"), async () => { await tankIs(0); await go({ view: "sum", why: "empty" }); }, { id: "stop-empty" }), big(t("stop-rain"), () => go({ view: "sum", why: "rain" }), { id: "stop-rain" }),
			big(t(aloud ? "aloud.on" : "aloud.off"), async () => { aloud = !aloud; await store.set("aloud", aloud).catch(() => {}); await draw(); }, { "aria-pressed": String(aloud) }),
			big(t("entries"), () => go({ view: "entries" })),
			big(t("back"), () => go({ view: h ? "hive" : "stop" })))];
	},

	note() {
		const h = hiveNow();
		title.textContent = t("note") + ": " + h.colony;
		const area = el("textarea", { id: "note", rows: "4" });
		area.value = draft.note || "";
		return [el("label", { for: "note" }, t("note")), area,
			big(t("pad.save"), async () => {
				draft.note = area.value.trim();
				const kept = { ...draft };
				if (doneAt(state, h.colony).length) { await keepDraft(); await go({ view: "hive" }); } else { await go({ view: "hive" }); draft = kept; }
			}, { class: "main" }),
			big(t("back"), () => go({ view: "hive" }), { class: "wide" })];
	},

	list() {
		const s = stop();
		title.textContent = s.name;
		return [el("div", { class: "stack" },
			s.hives.map((h) => {
				const d = doneAt(state, h.colony);
				return big([el("strong", {}, h.colony), " ", el("span", {}, d.length ? d.map((x) => x.says).join(" · ") : h.elsewhere ? t("elsewhere") : h.hold.length ? t("held") : h.plan_says)], () => go({ hive: h.colony, view: "hive" }), { class: d.length ? "row done" : "row", "data-hive": h.colony });
			}),
			big(t("add"), () => go({ view: "add" })), big(t("summary"), () => go({ view: "sum" })), big(t("back"), () => go({ view: at.hive ? "hive" : "stop" })))];
	},

	add() {
		const s = stop();
		title.textContent = t("add");
		const input = el("input", { id: "new-hive", autocomplete: "off", maxlength: "60" });
		return [
			el("p", {}, t("add.lead")),
			el("div", { class: "stack" }, s.others.map((h) => big([el("strong", {}, h.colony), " ", el("span", {}, doneAt(state, h.colony).map((x) => x.says).join(" · "))], () => go({ hive: h.colony, view: "hive" }), { class: "row", "data-hive": h.colony }))),
			el("label", { for: "new-hive" }, t("add.name")), input,
			big(t("add.save"), async () => {
				const name = input.value.trim();
				if (!name) { input.focus(); return; }
				if ([...s.hives, ...s.others].some((h) => h.colony === name)) { await go({ hive: name, view: "hive" }); return; }
				at.hive = name;
				await keep([{ kind: "colony", body: { colony: { id: name, yard: s.yard, kind: "full" } } }], t("added", { hive: name }), async () => {
					addLocal();
					await go({ hive: name, view: "hive" });
				});
			}, { class: "main", id: "add-save" }),
			big(t("back"), () => go({ view: "list" }), { class: "wide" })];
	},

	stops() {
		title.textContent = t("other-yard");
		return [el("div", { class: "stack" }, doc.stops.map((s, i) => big([el("strong", {}, s.name), " ", el("span", {}, t("stop.here", { count: openAt(state, s).length, amount: s.syrup_says }))], () => go({ stop: i, hive: "", view: "stop" }), { class: "row" })),
			el("a", { class: "button", href: "/round" }, t("leave")))];
	},

	sum() {
		const s = stop(), x = sum(doc, state, s), next = doc.stops[at.stop + 1];
		title.textContent = t("sum", { yard: s.name });
		return [
			el("p", { class: "amount" }, t("sum.given", { amount: amount(doc, x.given) })), el("p", {}, t("sum.hives", { count: x.hives, of: s.hives.length })),
			el("p", { class: "tank" }, t("tank", { amount: amount(doc, Math.max(state.level, 0)) })),
			doc.then && !next ? el("p", { class: "stopper" }, doc.then) : null,
			x.notFed.length ? el("ul", {}, x.notFed.map((n) => el("li", {}, n.hive.colony + ": " + n.says))) : null,
			x.open.length ? el("p", { class: "stopper" }, t(at.why === "rain" ? "sum.rain" : at.why === "empty" ? "sum.empty" : "sum.open", { count: x.open.length })) : el("p", {}, t("sum.all")),
			at.why === "empty" && x.open.length ? big(t("refilled"), () => go({ view: "pad", what: "tank" }), { id: "refilled" }) : null,
			doc.replan ? el("div", { class: "replan" }, el("p", {}, doc.replan), el("ul", {}, s.changes.map((c) => el("li", {}, c)))) : null,
			x.open.length ? el("div", { class: "stack" }, x.open.slice(0, 8).map((h) => big([el("strong", {}, h.colony), " ", el("span", {}, h.plan_says)], () => go({ hive: h.colony, view: "hive", why: "" }), { class: "row", "data-hive": h.colony }))) : null,
			el("p", { class: "caution", "data-word": words.caution }, words["caution.driving"]),
			next ? big(t("next-stop", { yard: next.name }), () => go({ stop: at.stop + 1, hive: "", view: "stop", why: "" }), { class: "main", id: "next-stop" }) : el("a", { class: "button main", href: "/round" }, t("trip-done")),
			next && next.has_place ? el("a", { class: "button wide", href: geo(next) }, t("map")) : null,
			el("div", { class: "three" }, big(t("undo"), undo, { id: "undo", class: lastAct ? "" : "off" }), big(t("list"), () => go({ view: "list", why: "" })), big(t("entries"), () => go({ view: "entries" }))),
		];
	},

	async entries() {
		title.textContent = t("entries");
		const s = box.state;
		return [
			el("p", {}, el("strong", {}, line(s, words)), s.trouble ? " " + s.trouble : ""),
			...warnings(box, words),
			s.old ? el("p", { class: "stopper" }, s.old) : null,
			s.pair ? el("a", { class: "button wide", href: "/pair" }, t("pair-go")) : null,
			t("mode." + mode) ? el("p", {}, t("mode." + mode)) : null,
			loose ? null : el("p", {}, await promise(box, words)),
			...await lookList(box, words, draw),
			el("div", { class: "stack" },
				loose ? null : big(t("send-now"), () => box.kick()), big(t("save-file"), () => saveFile(box), { id: "save-file" }), loose ? big(t("codes"), () => go({ view: "codes" }), { id: "codes" }) : null,
				big(t("back"), () => go({ view: at.hive ? "hive" : "stop" })))];
	},

	async codes() {
		title.textContent = t("codes");
		if (!globalThis.larderCodes) return [big(t("back"), () => go({ view: "entries" }))];
		const file = await box.file(), same = JSON.stringify(file.entries);
		if (run?.same !== same) run = { same, codes: globalThis.larderCodes(file) }; // one run stays one run while its codes are looked at
		const all = run.codes;
		const i = Math.min(at.code || 0, all.length - 1);
		if (turning && all.length > 1) turn = setTimeout(() => { if (turning && at.view === "codes") go({ view: "codes", code: (i + 1) % all.length }); }, TURN);
		return [el("p", { class: "lead" }, t("codes.of", { count: i + 1, of: all.length })), all[i] || null,
			all.length > 1 ? big(t("codes.turn"), async () => { turning = !turning; await draw(); }, { id: "codes-turn", "aria-pressed": String(turning) }) : null,
			big(t("codes.next"), () => go({ view: "codes", code: (i + 1) % all.length }), { class: "main" }), big(t("back"), () => go({ view: "entries" }), { class: "wide" })];
	},
};

// ------------------------------------------------------------------ the acts

const from = (v) => [...(draft.extra || []), ...visit(doc, hiveNow(), { left: draft.left, note: draft.note, ...v })];

async function given(text, says) {
	const h = hiveNow();
	await keep(from({ given: text }), t("said.given", { amount: says, hive: h.colony }), onward);
}

async function notFed(w) {
	const h = hiveNow();
	await keep(from({ notFed: w.why }), t("said.not", { why: w.says, hive: h.colony }), onward);
}

// choreDone tells whether this phone logged a chore of a yard on this trip.
function choreDone(s, what) { return inForce(records).records.some((r) => r.trip === doc.on && r.kind === "chore" && r.body.yard === s.yard && r.body.what === what); }

async function heft(word) {
	const h = hiveNow();
	await keep(visit(doc, h, { heft: word }), t("said.heft", { hive: h.colony }), () => backKeeping());
}

// keepDraft saves what was picked at a hive that is left without a gift.
async function keepDraft() {
	if (!draft.left && !draft.note) return;
	await keep(from({}), t("said.look", { hive: at.hive }));
	draft = {};
}

async function backKeeping() { const kept = { ...draft }; await go({ view: "hive" }); draft = kept; await draw(); }

async function padSave(what) {
	const n = Number(digits);
	if (digits === "" || digits === "." || (what === "given" && n === 0)) { alarm(t("pad.empty")); return; }
	const text = asText(what === "weight" ? doc.mass.unit : feeder(doc).text, digits), says = shown(doc, text);
	// As at the desk: no feeder is filled three times over, a comma forgotten; more
	// than it holds is kept when Save is pressed once more.
	const holds = what === "given" || what === "left" ? hiveNow().holds_l : 0, l = typed(feeder(doc), digits);
	if (holds > 0 && l > 3 * holds) { alarm(t("pad.toomuch", { amount: says })); return; }
	if (holds > 0 && l > 1.05 * holds && asked !== what + digits) {
		asked = what + digits;
		alarm(t("pad.overfull", { amount: says, of: jug(doc, holds) }));
		return;
	}
	switch (what) {
	case "given": return given(text, says);
	case "left": { const d = { ...draft, left: text, leftSays: says }; await go({ view: "hive" }); draft = d; return draw(); }
	case "weight": return keep(visit(doc, hiveNow(), { weight: text, way: "lift1" }), t("said.heft", { hive: at.hive }), backKeeping);
	case "tank":
		await tankIs(typed(doc.volume, digits));
		return go(at.why ? { view: "sum", why: "" } : { view: hiveNow() ? "hive" : "stop" });
	}
}

// tankIs sets what is in the tank, as the keeper reads it off.
async function tankIs(litres) {
	tank = { l: litres, given: state.given };
	await store.set("tank:" + doc.on, tank).catch(() => {});
	await refold();
}

// count runs the seconds of pumping, and says them aloud if asked to.
function count(seconds) {
	if (ticking) return stopCount();
	const began = performance.now();
	let last = -1;
	const button = document.getElementById("count");
	ticking = setInterval(() => {
		const n = Math.floor((performance.now() - began) / 1000);
		if (n === last) return;
		last = n;
		button.textContent = t("counting", { count: n, of: seconds });
		if (aloud && n > 0 && (n % 10 === 0 || seconds - n <= 5)) say(String(n));
		if (n >= seconds) { stopCount(); button.textContent = t("count.done", { time: seconds }); if (aloud) say(t("count.stop")); buzz([200, 100, 200]); }
	}, 100);
}
function stopCount() { clearInterval(ticking); ticking = null; }
function say(text) { if ("speechSynthesis" in window) { const u = new SpeechSynthesisUtterance(text); u.lang = doc.lang; speechSynthesis.speak(u); } }

// ------------------------------------------------------------------- drawing

const outline = el("p", { class: "line", role: "status", "aria-live": "polite" });
const body = el("div", { class: "page" });

// What is drawn anew under him keeps the focus where it was, if it is still there.
async function draw() {
	clearTimeout(turn);
	const now = (await views[at.view]()).flat().filter(Boolean), had = body.contains(document.activeElement) ? document.activeElement : null;
	body.replaceChildren(...now);
	body.dataset.view = at.view;
	if (had) [...body.querySelectorAll(had.localName)].find((e) => e.id === had.id && e.textContent === had.textContent)?.focus({ preventScroll: true });
	tell();
}

function tell() {
	const s = box.state, skew = skewSays(s, words);
	outline.replaceChildren(el("strong", {}, line(s, words)), said ? " · " + said : "", skew ? el("span", {}, " " + skew) : "", box.lost ? el("span", {}, " " + t("memory")) : "",
		box.gone ? el("span", {}, " " + t("gone", { count: box.gone })) : box.back ? el("span", {}, " " + t("put-back", { count: box.back })) : "", s.pair || s.old ? el("span", {}, " " + (s.old || t("pair"))) : "");
}

// addLocal puts hives that were added on this phone into the trip.
function addLocal() {
	for (const r of inForce(records).records) {
		if (r.kind !== "colony") continue;
		const s = doc.stops.find((x) => x.yard === r.body.colony.yard);
		if (!s || [...s.hives, ...s.others].some((h) => h.colony === r.body.colony.id)) continue;
		s.others.push({ colony: r.body.colony.id, stand: 0, feeder: "", holds_l: 0, plan_l: 0, plan_says: "–", plan_text: "", seconds: 0, left_says: "", expect: "", left: [], hold: [], ask: [], elsewhere: false, done: [] });
	}
}

// fresh asks home how the trip stands: what others logged, what is held now. It
// says whether there is anything new to show: a page drawn anew for nothing takes
// the button from under a thumb.
async function fresh() {
	if (loose) return false;
	const shown = (x) => JSON.stringify({ ...x, as_of: "", as_of_says: "" });
	let anew = false;
	try {
		const r = await fetch(`/phone/round?plan=${encodeURIComponent(doc.plan)}&load=${doc.load}`, { credentials: "same-origin" });
		if (!r.ok) return false;
		const d = await r.json();
		if (d.on !== doc.on) return false;
		anew = shown(d) !== shown(doc);
		doc = d;
		await store.set("doc:" + doc.on, doc);
		await refold();
		addLocal();
	} catch { /* no signal: the trip as it was taken along */ }
	return anew;
}

async function awake() { try { await navigator.wakeLock?.request("screen"); } catch { /* not granted: the phone sleeps as usual */ } }

// ------------------------------------------------------------------- begin

const kept = await store.get("doc:" + doc.on);
if (kept && kept.as_of > doc.as_of) doc = kept;
await refold();
addLocal();
const mine = inForce(records).records.filter((r) => r.trip === doc.on && r.act);
if (mine.length) { const r = mine[mine.length - 1]; lastAct = { act: r.act, hive: r.hive, stop: at.stop }; }
if (!doc.stops[at.stop]) at = { stop: 0, hive: "", view: "stop" };
if ((["hive", "why", "note", "pad"].includes(at.view) && !hiveNow()) || !views[at.view]) at.view = "stop";
if (at.view === "pad" || at.view === "note" || at.view === "codes") at.view = at.hive ? "hive" : "stop";
// The place is kept with less care than the entries: a battery that dies at the
// wrong moment leaves it a hive behind. The entries say which hives are done.
if ((at.view === "hive" || at.view === "why") && doneAt(state, at.hive).length) {
	const h = nextOpen();
	at = { ...at, hive: h ? h.colony : at.hive, view: h ? "hive" : "sum" };
}
title.tabIndex = -1;
document.documentElement.classList.add("yard");
root.replaceChildren(outline, body);
await draw();
root.dataset.ready = "1";
box.listen(tell);
document.addEventListener("visibilitychange", async () => { if (!document.hidden) { awake(); await fresh(); if (["list", "sum", "stop", "stops"].includes(at.view)) draw(); } });
addEventListener("online", fresh);
awake();
fresh().then((anew) => { if (anew && at.view !== "pad" && at.view !== "note" && !draft.left) draw(); });
worker([location.pathname, "/round"]);
