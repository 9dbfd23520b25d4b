// The outbox: what was logged on this phone, until home says that it has it.
//
// Nothing here touches the page, the network or the database: they are handed
// in, so that every order of events can be tried out. The rules:
//
//   - an entry is on the phone, durably, before the screen says so;
//   - it is sent, oldest first, until home answers for it by name;
//   - answered "stored" or "already" it stays two weeks as a receipt: home may
//     be restored from an old backup and ask for it;
//   - answered "refused" it stays until a person has looked at it;
//   - no other answer, and no lack of one, changes anything.

export const PROTOCOL = 1;
export const MAX_ENTRIES = 200;
export const MAX_BYTES = 240 * 1024;
export const RECEIPT_MS = 14 * 86400e3;
const FIRST_WAIT = 2000;
const LONGEST_WAIT = 5 * 60e3;
const ASK_AT_ONCE = 2000;

// idMaker makes names of version 7: they count up in the order in which they
// were made, also within a millisecond and when the clock is set back.
export function idMaker(clock, fill) {
	let last = 0, count = 0;
	return () => {
		const b = new Uint8Array(16);
		fill(b);
		let now = Math.min(Math.max(Math.floor(clock()), 1), 2 ** 48 - 1);
		if (now > last) count = b[6] & 0x7f;
		else {
			now = last;
			if (++count > 0xfff) { now++; count = 0; }
		}
		last = now;
		let t = now;
		for (let i = 5; i >= 0; i--) { b[i] = t % 256; t = Math.floor(t / 256); }
		b[6] = 0x70 | count >> 8;
		b[7] = count & 0xff;
		b[8] = 0x80 | b[8] & 0x3f;
		const hex = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
		return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
	};
}

// localTime writes a time with the phone's own offset.
export function localTime(ms, offset = -new Date(ms).getTimezoneOffset()) {
	const sign = offset < 0 ? "-" : "+", o = Math.abs(offset);
	const two = (n) => String(Math.floor(n)).padStart(2, "0");
	return new Date(ms + offset * 60e3).toISOString().slice(0, 23) + sign + two(o / 60) + ":" + two(o % 60);
}

// next is the state of an entry after an answer. Once home has it, it has it: a
// late or second answer does not take that back.
export function next(state, is) {
	if (is === "stored" || is === "already") return "sent";
	if (is === "refused" && state === "waiting") return "refused";
	return state;
}

// pick takes from the front of the queue what fits into one sending.
export function pick(waiting, limit = MAX_ENTRIES, bytes = MAX_BYTES) {
	const out = [];
	let size = 0;
	for (const r of waiting) {
		size += new TextEncoder().encode(JSON.stringify(wire(r))).length + 1;
		if (out.length > 0 && (out.length >= limit || size > bytes)) break;
		out.push(r);
	}
	return out;
}

// wire is what is sent of a record.
export function wire(r) {
	const e = { id: r.id, seq: r.seq, made: r.made, kind: r.kind, body: r.body };
	if (r.replaces) e.replaces = r.replaces;
	return e;
}

// inForce leaves out what was undone, and what was undone of that.
export function inForce(records) {
	const struck = new Set();
	// A strike is always made after what it strikes: from the last to the first,
	// each strike that stands takes its fact out.
	for (const r of [...records].sort((a, b) => b.seq - a.seq))
		if (r.kind === "strike" && r.state !== "binned" && !struck.has(r.id)) struck.add(r.body.fact);
	return { struck, records: records.filter((r) => r.kind !== "strike" && !struck.has(r.id) && r.state !== "binned") };
}

export class Outbox {
	// store keeps records; post(path, object) gives {status, retryAfter, body} or
	// throws when nobody answers; clock gives ms; chance 0…1; later(f, ms) calls
	// back and gives what cancels it.
	constructor({ store, post, clock, newId, chance, later, device }) {
		Object.assign(this, { store, post, clock, newId, chance, later, device });
		this.listeners = [];
		this.busy = null;
		this.again = false;
		this.tries = 0;
		this.limit = MAX_ENTRIES;
		this.state = { waiting: 0, refused: 0, sentAt: 0, pair: false, old: "", away: false, skew: 0, trouble: "" };
	}

	listen(f) { this.listeners.push(f); }

	async tell() {
		const n = await this.store.count();
		Object.assign(this.state, { waiting: n.waiting, refused: n.refused, sentAt: (await this.store.get("sentAt")) || 0, skew: (await this.store.get("skew")) || 0 });
		for (const f of this.listeners) f(this.state);
	}

	// save keeps facts as one act. It gives the records once they are durable, and
	// throws when this phone cannot keep them: then they are NOT saved.
	async save(facts, about = {}) {
		const now = this.clock();
		const act = this.newId();
		const records = facts.map((f) => ({ id: this.newId(), made: localTime(now), at: now, kind: f.kind, body: f.body, replaces: f.replaces || "", told: f.told || "", act, ...about, state: "waiting" }));
		await this.store.add(records);
		await this.tell();
		this.kick();
		return records;
	}

	// undo strikes all facts of an act, the last first.
	async undo(act, about = {}) {
		const all = (await this.store.all()).filter((r) => r.act === act && r.state !== "binned");
		const { struck } = inForce(await this.store.all());
		const facts = all.filter((r) => !struck.has(r.id)).reverse().map((r) => ({ kind: "strike", body: { fact: r.id, why: "undone" } }));
		return facts.length ? this.save(facts, about) : [];
	}

	// strike takes back facts that home told us of.
	async strike(ids, about = {}) {
		return this.save(ids.map((id) => ({ kind: "strike", body: { fact: id, why: "undone" } })), about);
	}

	// kick starts sending, now. It may be called at any time and any number of
	// times.
	kick() {
		if (this.cancel) { this.cancel(); this.cancel = null; }
		if (this.busy) { this.again = true; return this.busy; }
		this.busy = this.run().finally(() => {
			this.busy = null;
			if (this.again) { this.again = false; this.kick(); }
		});
		return this.busy;
	}

	async run() {
		for (;;) {
			const batch = pick(await this.store.waiting(MAX_ENTRIES), this.limit);
			if (batch.length === 0) break;
			let reply;
			try {
				reply = await this.post("/phone/facts", { protocol: PROTOCOL, device: this.device.id, name: this.device.name, now: localTime(this.clock()), entries: batch.map(wire) });
			} catch {
				this.state.away = true;
				return this.wait();
			}
			const step = await this.heed(reply, batch);
			await this.tell();
			if (step !== "on") return step === "wait" ? this.wait(reply.retryAfter) : undefined;
		}
		await this.store.drop(this.clock() - RECEIPT_MS);
		await this.tell();
	}

	// heed does what an answer says: "on" to the next batch, "wait" a while, or
	// "stop" until somebody does something.
	async heed(reply, batch) {
		const ours = reply.body && reply.body.larder > 0; // else some other page answered: a portal, a proxy
		const s = this.state;
		s.away = !ours;
		if (!ours && reply.status !== 413) return "wait";
		if (ours && typeof reply.body.skew_s === "number") await this.store.set("skew", reply.body.skew_s);
		switch (reply.status) {
		case 200: break;
		case 401: case 403:
			s.pair = true;
			return "stop";
		case 409:
			s.old = reply.body.say || "";
			return "stop";
		case 400: case 413:
			if (batch.length > 1) { this.limit = Math.max(1, Math.floor(batch.length / 2)); return "on"; }
			await this.store.settle([{ id: batch[0].id, is: "refused", why: (ours && reply.body.say) || "too long", at: this.clock() }]);
			return "on";
		default:
			s.trouble = (ours && reply.body.say) || "";
			return "wait";
		}
		s.pair = false; s.old = ""; s.trouble = "";
		const sent = new Set(batch.map((r) => r.id));
		const answers = (reply.body.answers || []).filter((a) => sent.has(a.id) && ["stored", "already", "refused"].includes(a.is));
		if (answers.length === 0) return "wait";
		await this.store.settle(answers.map((a) => ({ id: a.id, is: a.is, why: a.say || "", hint: a.hint || "", at: this.clock() })));
		await this.store.set("sentAt", this.clock());
		this.tries = 0;
		this.limit = MAX_ENTRIES;
		if (reply.body.epoch && reply.body.epoch !== await this.store.get("epoch")) await this.heal(reply.body.epoch);
		return "on";
	}

	// heal asks a home that began anew which of our receipts it lacks, and sends
	// those again.
	async heal(epoch) {
		const receipts = (await this.store.all()).filter((r) => r.state === "sent").map((r) => r.id);
		for (let i = 0; i < receipts.length; i += ASK_AT_ONCE) {
			const reply = await this.post("/phone/have", { ids: receipts.slice(i, i + ASK_AT_ONCE) }).catch(() => null);
			if (!reply || reply.status !== 200 || !reply.body || !(reply.body.larder > 0)) return; // asked again at the next answer
			if (reply.body.missing?.length) await this.store.resend(reply.body.missing);
		}
		await this.store.set("epoch", epoch);
	}

	// wait tries again after a while, longer each time, never all phones at once.
	wait(least = 0) {
		const ms = Math.max(Math.min(FIRST_WAIT * 2 ** this.tries, LONGEST_WAIT) * (0.5 + this.chance()), least * 1000);
		this.tries = Math.min(this.tries + 1, 10);
		this.cancel = this.later(() => { this.cancel = null; this.kick(); }, ms);
		return this.tell();
	}

	// again puts a refused entry back into the queue; bin sets it aside. Both are
	// a person's doing, and bin can be taken back.
	async retry(id) { await this.store.resend([id], "refused"); await this.tell(); this.kick(); }
	async bin(id) { await this.store.setState(id, "refused", "binned"); await this.tell(); }
	async unbin(id) { await this.store.setState(id, "binned", "refused"); await this.tell(); }

	// mend sends a refused entry anew with another body, under a name of its own.
	// The old one is set aside and stays to be seen. It throws when this phone
	// cannot keep the new one: then nothing changed.
	async mend(id, body, told = "") {
		const old = (await this.store.all()).find((r) => r.id === id);
		if (!old || old.state !== "refused") return;
		const { seq, settled, why, hint, ...rest } = old;
		await this.store.swap(id, "refused", "binned", { ...rest, id: this.newId(), body, told, state: "waiting" });
		await this.tell();
		this.kick();
	}

	// file gives all that is not at home yet, as home reads it from a file.
	async file() {
		const all = await this.store.all();
		return { larder: PROTOCOL, protocol: PROTOCOL, device: this.device.id, name: this.device.name, now: localTime(this.clock()),
			entries: all.filter((r) => r.state === "waiting" || r.state === "refused").map(wire) };
	}
}

// Memory is a store that forgets with the page: for browsers that keep nothing,
// and for trying out orders of events.
export class Memory {
	constructor(records = [], kept = new Map()) { this.records = records; this.kept = kept; }
	async add(list) {
		let seq = this.records.reduce((m, r) => Math.max(m, r.seq), 0);
		this.records.push(...list.map((r) => { r.seq = ++seq; return structuredClone(r); }));
	}
	async waiting(limit) { return this.records.filter((r) => r.state === "waiting").sort((a, b) => a.seq - b.seq).slice(0, limit); }
	async all() { return [...this.records].sort((a, b) => a.seq - b.seq); }
	async count() {
		const n = { waiting: 0, refused: 0 };
		for (const r of this.records) if (r.state in n) n[r.state]++;
		return n;
	}
	async settle(changes) { for (const c of changes) settle(this.records.find((r) => r.id === c.id), c); }
	async resend(ids, from = "sent") { for (const r of this.records) if (ids.includes(r.id) && r.state === from) r.state = "waiting"; }
	async setState(id, from, to) { for (const r of this.records) if (r.id === id && r.state === from) r.state = to; }
	async swap(id, from, to, record) {
		const r = this.records.find((x) => x.id === id && x.state === from);
		if (!r) return false;
		Object.assign(r, { state: to, mended: record.id });
		await this.add([record]);
		return true;
	}
	async drop(before) { this.records = this.records.filter((r) => !(r.state === "sent" && r.settled < before)); }
	async get(key) { return this.kept.get(key); }
	async set(key, value) { this.kept.set(key, value); }
}

// settle changes a record as an answer says; false when nothing changes.
export function settle(r, c) {
	if (!r) return false;
	const state = next(r.state, c.is);
	if (state === r.state) return false;
	r.state = state;
	r.settled = c.at;
	r.why = c.why || "";
	r.hint = c.hint || "";
	return true;
}

// statusKey says in one word what the line at the top is to say.
export function statusKey(s) {
	if (s.refused) return "look";
	if (s.waiting && s.pair) return "pair";
	if (s.waiting && s.old) return "old";
	if (s.waiting) return "waiting";
	return s.sentAt ? "sent" : "nothing";
}
