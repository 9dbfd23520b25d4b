// Random interleavings of logging, going offline and online, sending twice,
// answering late or out of order, dying and being restored. Whatever happens,
// home ends with exactly what was logged, once each.

function prng(seed) {
	let a = seed >>> 0;
	return () => {
		a = a + 0x6d2b79f5 >>> 0;
		let t = Math.imul(a ^ a >>> 15, a | 1);
		t ^= t + Math.imul(t ^ t >>> 7, t | 61);
		return ((t ^ t >>> 14) >>> 0) / 4294967296;
	};
}

class Home {
	constructor(box) { this.box = box; this.facts = new Map(); this.order = []; this.epoch = "e0"; this.run = 0; this.backup = null; this.wrong = []; }
	take(envelope) {
		const answers = envelope.entries.map((e) => {
			const body = JSON.stringify(e.body);
			if (e.body.bad) return { id: e.id, is: "refused", say: "cannot be" };
			if (this.facts.has(e.id)) {
				if (this.facts.get(e.id) !== body) this.wrong.push(e.id);
				return { id: e.id, is: "already" };
			}
			this.facts.set(e.id, body);
			this.order.push({ device: envelope.device, seq: e.seq, id: e.id });
			return { id: e.id, is: "stored" };
		});
		return { larder: 1, epoch: this.epoch, skew_s: 0, answers };
	}
	have(ask) { return { larder: 1, epoch: this.epoch, missing: ask.ids.filter((id) => !this.facts.has(id)) }; }
	save() { this.backup = new Map(this.facts); }
	restore() {
		if (!this.backup) return;
		this.facts = new Map(this.backup);
		this.epoch = "e" + ++this.run;
		this.restored = true;
	}
}

// one runs one interleaving and gives what went wrong, "" if nothing.
async function one(box, seed) {
	const random = prng(seed);
	const roll = (n) => Math.floor(random() * n);
	const world = { time: 1.7e12, timers: [], online: random() < 0.5, late: [], calm: false };
	const home = new Home(box);
	const logged = new Map(), tried = new Map(), bad = new Set();

	// Nothing in the outbox waits for anything but promises: a few turns of those are
	// a while.
	const turn = async () => { for (let i = 1 + roll(6); i > 0; i--) await null; };
	const hang = () => new Promise(() => {});

	function phone(n) {
		const p = { device: { id: "phone" + n, name: "Phone " + n }, disk: new box.Memory(), skew: (roll(3) - 1) * roll(2) * 63e9 };
		p.open = () => {
			const life = { alive: true };
			p.life = life;
			// Each call of the store and the network either ends before the phone dies or
			// never comes back; what was begun may be done or not.
			const mortal = new Proxy(p.disk, { get: (t, k) => typeof t[k] !== "function" ? t[k] : async (...a) => {
				if (!life.alive) return hang();
				if (random() < 0.3) await turn();
				if (!life.alive && random() < 0.5) return hang();
				const v = await t[k](...structuredClone(a.length ? [a[0] instanceof Object ? JSON.parse(JSON.stringify(a[0])) : a[0], ...a.slice(1)] : []));
				if (k === "add") a[0].forEach((r, i) => { r.seq = t.records.find((x) => x.id === r.id).seq; });
				return life.alive ? structuredClone(v) : hang();
			} });
			const post = async (path, o) => {
				const v = await wire(path, JSON.parse(JSON.stringify(o)));
				return life.alive ? v : hang();
			};
			p.box = new box.Outbox({ store: mortal, post, clock: () => world.time + p.skew, chance: random, device: p.device,
				newId: box.idMaker(() => world.time + p.skew, (b) => b.forEach((_, i) => { b[i] = roll(256); })),
				later: (f, ms) => {
					const t = { at: world.time + ms, f: () => life.alive && f() };
					world.timers.push(t);
					return () => { t.f = () => {}; };
				} });
		};
		p.open();
		return p;
	}

	// wire is the way to home and back.
	async function wire(path, o) {
		const ask = () => path === "/phone/have" ? home.have(o) : home.take(o);
		if (!world.online) throw new Error("no signal");
		if (world.calm) return { status: 200, body: ask() };
		switch (roll(12)) {
		case 0: throw new Error("lost on the way there");
		case 1: ask(); throw new Error("lost on the way back");
		case 2: ask(); return { status: 200, body: ask() }; // it went twice
		case 3: return { status: 500, body: { larder: 1 } }; // home died before it wrote anything
		case 4: return { status: 429, retryAfter: 3, body: { larder: 1 } };
		case 5: return { status: 200, body: null }; // a portal's page
		case 6: { // some answers only, in another order
			const b = ask();
			if (b.answers) b.answers = b.answers.filter(() => random() < 0.6).reverse();
			return { status: 200, body: b };
		}
		case 7: { // late: other things happen before it is here
			const b = ask();
			return new Promise((ok) => world.late.push(() => ok({ status: 200, body: b })));
		}
		case 8: return o.entries?.length > 1 && random() < 0.5 ? { status: 413, body: null } : { status: 200, body: ask() };
		default: return { status: 200, body: ask() };
		}
	}

	const phones = Array.from({ length: 1 + roll(8) }, (_, i) => phone(i));
	async function log(p) {
		const facts = Array.from({ length: 1 + roll(4) }, () => {
			const f = { kind: "given", body: { colony: "c" + roll(9), n: logged.size + tried.size + random(), ...(random() < 0.06 ? { bad: true } : {}) } };
			return f;
		});
		const life = p.life;
		facts.forEach((f) => tried.set(JSON.stringify(f.body), p));
		const rs = await p.box.save(facts);
		if (!life.alive) return; // never said to be on the phone
		for (const r of rs) (r.body.bad ? bad.add(r.id) : logged.set(r.id, JSON.stringify(r.body)));
	}

	for (let step = 10 + roll(40); step > 0; step--) {
		const p = phones[roll(phones.length)];
		switch (roll(10)) {
		case 0: case 1: case 2: case 3: log(p).catch(() => {}); break;
		case 4: world.online = !world.online; break;
		case 5: p.life.alive = false; await turn(); p.open(); if (random() < 0.7) p.box.kick(); break;
		case 6: p.box.kick(); break;
		case 7: { const f = world.late.splice(roll(world.late.length || 1), 1)[0]; if (f) f(); break; }
		case 8: if (random() < 0.5) home.save(); else if (random() < 0.3) home.restore(); break;
		default: await elapse(world, roll(20000));
		}
		for (let i = roll(4); i > 0; i--) await turn();
	}
	// Everybody comes home.
	world.online = true;
	world.calm = true;
	while (world.late.length) world.late.shift()();
	// Whoever has a restored home has to hear of it: one more entry does.
	for (const p of phones) { p.life.alive = false; await turn(); p.open(); await log(p); }
	for (let i = 0; i < 400; i++) {
		await elapse(world, 60e3);
		await turn();
		if (phones.every((p) => !p.box.busy && p.disk.records.every((r) => r.state !== "waiting")) && i > 3) break;
	}

	const no = (s) => `seed ${seed}: ${s}`;
	if (home.wrong.length) return no("one name, two contents");
	for (const [id, body] of logged) {
		if (!home.facts.has(id)) return no(`${id} was on the phone and is not at home`);
		if (home.facts.get(id) !== body) return no(`${id} changed on the way`);
	}
	for (const body of home.facts.values()) if (!tried.has(body)) return no("home has what nobody logged");
	if (new Set(home.facts.values()).size !== home.facts.size) return no("home has one entry twice");
	for (const p of phones) {
		for (const r of p.disk.records) {
			if (r.state === "waiting") return no(`${r.id} is still waiting`);
			if (r.body.bad ? r.state !== "refused" : r.state !== "sent") return no(`${r.id} is ${r.state}`);
		}
		for (const id of bad) if (phones.every((q) => !q.disk.records.some((r) => r.id === id))) return no(`refused ${id} vanished`);
	}
	if (!home.restored) {
		const last = {};
		for (const o of home.order) {
			if (last[o.device] >= o.seq) return no(`${o.device} sent ${o.seq} after ${last[o.device]}`);
			last[o.device] = o.seq;
		}
	}
	return "";
}

async function elapse(world, ms) {
	world.time += ms;
	const due = world.timers.filter((t) => t.at <= world.time);
	world.timers = world.timers.filter((t) => t.at > world.time);
	for (const t of due.sort((a, b) => a.at - b.at)) t.f();
	await Promise.resolve();
}

// property runs n interleavings and gives the first thing that went wrong.
export async function property(box, from, n) {
	for (let seed = from; seed < from + n; seed++) {
		const wrong = await one(box, seed);
		if (wrong) return wrong;
	}
	return "";
}
