// What a trip comes to: from its document and the entries of this phone. Pure:
// the same in, the same out.
import { inForce } from "./outbox.js";

// amount writes litres in the keeper's unit, as home writes tanks and batches.
export function amount(doc, litres) {
	return inUnit(doc.volume, litres, Math.abs(litres / doc.volume.si) < 20 ? 1 : 0);
}

// feeder is the unit of what goes into one hive; a trip taken along before there
// was one has that of the tank.
export const feeder = (doc) => doc.feeder || { ...doc.volume, text: doc.volume.unit };

// jug writes litres as home writes what goes into a feeder.
export function jug(doc, litres) { return inUnit(feeder(doc), litres, 1); }

function inUnit(u, litres, decimals) {
	let t = (litres / u.si).toFixed(decimals);
	if (t.includes(".")) t = t.replace(/\.0$/, "");
	if (t === "-0") t = "0";
	return t.replace("-", "−").replace(".", u.decimal) + " " + u.unit;
}

// typed reads the digits of the pad in a unit. NaN when there are none.
export function typed(u, digits) { return digits === "" || digits === "." ? NaN : Number(digits) * u.si; }

// asText writes typed digits as a fact holds them.
export function asText(unit, digits) { return Number(digits) + " " + unit; }

// visit gives the facts of what was done at a hive, as season.Visit does at home.
export function visit(doc, hive, v) {
	const out = [], colony = hive.colony;
	let note = v.note || "";
	const take = () => { const n = note; note = ""; return n; };
	const body = (b) => { for (const k of Object.keys(b)) if (b[k] === "" || b[k] === undefined) delete b[k]; return b; };
	const acted = Boolean(v.given || v.notFed);
	if (v.left) out.push({ kind: "left", body: body({ colony, volume: v.left, note: acted ? "" : take() }) });
	if (v.given) out.push({ kind: "given", body: body({ colony, feed: "syrup", volume: v.given, plan: doc.on, note: take() }) });
	if (v.notFed) {
		out.push({ kind: "not-fed", body: body({ colony, why: v.notFed, plan: doc.on, note: take() }) });
		for (const also of doc.not_fed.find((w) => w.why === v.notFed)?.also || []) out.push({ kind: also.kind, body: { colony, ...also.body } });
		if (v.notFed === "full" && !v.left && hive.left.length) out.push({ kind: "left", body: { colony, volume: hive.left[4].text } });
	}
	if (v.weight) out.push({ kind: "reading", body: body({ colony, way: v.way, [v.way === "full" ? "gross" : "lift1"]: v.weight, note: take() }) });
	else if (v.heft) out.push({ kind: "reading", body: body({ colony, way: "hand", heft: v.heft, note: take() }) });
	if (note) out.push({ kind: "look", body: { colony, note } });
	return out;
}

// told puts a fact into the words it is remembered by on the phone.
export function told(doc, hive, f) {
	const b = f.body, say = (key, v) => doc.words[key].replace(/\{(\w+)\}/g, (_, k) => v[k] ?? "");
	const plain = (text) => shown(doc, text);
	switch (f.kind) {
	case "given": return say("said.given", { hive: hive.colony, amount: b.volume === hive.plan_text ? hive.plan_says : plain(b.volume) });
	case "left": return say("said.left", { hive: hive.colony, amount: hive.left?.find((x) => x.text === b.volume)?.says || plain(b.volume) });
	case "not-fed": return say("said.not", { hive: hive.colony, why: whySaid(doc, b.why) });
	case "reading": return say("said.heft", { hive: hive.colony }) + " " + (b.heft ? doc.words["heft." + b.heft] : b.lift1 || b.gross || "").replace(".", doc.volume.decimal);
	case "look": return say("said.look", { hive: hive.colony }) + (b.note ? ": " + b.note : "");
	}
	return "";
}

// shown writes the text of a volume as he reads it.
export function shown(doc, text) {
	const u = feeder(doc);
	return (text || "").replace(".", u.decimal).replace(u.text, u.unit);
}

// litresOf reads the text of a volume as this program writes it.
export function litresOf(doc, text) {
	const m = /^([\d.]+) ?(.*)$/.exec(text || "");
	if (!m) return 0;
	return Number(m[1]) * ([feeder(doc), { ...doc.volume, text: doc.volume.unit }].find((u) => u.text === m[2])?.si ?? 1);
}

// fold works out where the trip stands. tank is what the keeper last read off
// it, if he did: {l, given} at that moment.
export function fold(doc, records, tank = null) {
	const mine = records.filter((r) => r.trip === doc.on);
	const { struck, records: live } = inForce(records);
	const ids = new Set(mine.map((r) => r.id));
	const hives = new Map();
	const at = (colony) => {
		if (!hives.has(colony)) hives.set(colony, { done: [], left: null });
		return hives.get(colony);
	};
	let given = 0;
	for (const stop of doc.stops)
		for (const h of [...stop.hives, ...stop.others])
			for (const d of h.done) {
				if (struck.has(d.fact) || ids.has(d.fact)) continue;
				at(h.colony).done.push({ ...d, home: true });
				given += d.given_l;
			}
	for (const r of live) {
		if (r.trip !== doc.on) continue;
		const h = at(r.body.colony || r.body.Colony?.id || r.hive);
		if (r.kind === "given") {
			const l = litresOf(doc, r.body.volume);
			h.done.push({ fact: r.id, act: r.act, given_l: l, says: amountSaid(doc, r, l), state: r.state });
			given += l;
		} else if (r.kind === "not-fed") {
			h.done.push({ fact: r.id, act: r.act, not_fed: r.body.why, given_l: 0, says: doc.words["done.not"].replace("{why}", whySaid(doc, r.body.why)), state: r.state });
		} else if (r.kind === "left") h.left = r.body.volume;
	}
	return { hives, given, level: tank ? tank.l - (given - tank.given) : doc.syrup_l - given };
}

const whySaid = (doc, why) => (doc.not_fed.find((w) => w.why === why) || { says: why }).says;

function amountSaid(doc, r, l) {
	return doc.words["done.given"].replace("{amount}", r.says || jug(doc, l));
}

// doneAt gives what is written down for a hive on this trip.
export function doneAt(state, colony) { return state.hives.get(colony)?.done || []; }

// openAt lists the hives of a stop that have nothing yet.
export function openAt(state, stop) { return stop.hives.filter((h) => doneAt(state, h.colony).length === 0 && !h.elsewhere); }

// runsShort tells after how many hives from here on the tank is empty; −1 when
// it lasts for all that is still open.
export function runsShort(doc, state, fromStop = 0) {
	let level = state.level, n = 0;
	for (const stop of doc.stops.slice(fromStop))
		for (const h of openAt(state, stop)) {
			if (h.hold.length) continue;
			level -= h.plan_l;
			if (level < -0.05) return n;
			n++;
		}
	return -1;
}

// sum gives the summary of a stop.
export function sum(doc, state, stop) {
	const s = { given: 0, hives: 0, notFed: [], open: openAt(state, stop), extra: 0 };
	for (const h of [...stop.hives, ...stop.others]) {
		const d = doneAt(state, h.colony);
		const l = d.reduce((n, x) => n + x.given_l, 0);
		if (l > 0) { s.given += l; s.hives++; }
		for (const x of d) if (x.not_fed) s.notFed.push({ hive: h, says: whySaid(doc, x.not_fed) });
	}
	return s;
}

// room tells how much still goes into the feeder above what is left, in litres;
// Infinity when it is not known what it holds.
export function room(doc, hive, left) { return hive.holds_l > 0 ? Math.max(hive.holds_l - litresOf(doc, left), 0) : Infinity; }

// geo makes a link that the phone's own map opens.
export function geo(stop) {
	const at = stop.lat.toFixed(5) + "," + stop.lon.toFixed(5);
	return "geo:" + at + "?q=" + at + "(" + encodeURIComponent(stop.name) + ")";
}
