// The store of the outbox in the browser's own database. Every change is one
// transaction, flushed to the disk before it counts.
import { Memory, settle } from "./outbox.js";

const strict = { durability: "strict" };

const done = (tx) => new Promise((ok, no) => {
	tx.oncomplete = () => ok();
	tx.onabort = () => no(tx.error || new Error("aborted"));
	tx.onerror = () => no(tx.error);
});
const result = (req) => new Promise((ok, no) => {
	req.onsuccess = () => ok(req.result);
	req.onerror = () => no(req.error);
});

// A browser that neither gives the database nor says no is not waited for.
const PATIENCE = 5000;

export async function openStore(name = "larder") {
	const kept = new Kept(name, await openDatabase(name));
	await kept.look();
	return kept;
}

async function openDatabase(name) {
	const open = indexedDB.open(name, 1);
	open.onupgradeneeded = () => {
		const e = open.result.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
		e.createIndex("id", "id", { unique: true });
		e.createIndex("state", ["state", "seq"]);
		open.result.createObjectStore("kept");
	};
	return Promise.race([result(open), new Promise((_, no) => setTimeout(() => no(new Error("no answer")), PATIENCE))]);
}

// openAny opens the database, or memory where the browser has none to give: lost
// is then true and the page says so.
export async function openAny(name) {
	try {
		const store = await openStore(name);
		return { store, lost: false };
	} catch {
		return { store: new Memory(), lost: true };
	}
}

// Kept also holds what is not at home yet in the page's own memory: a browser
// may clear its database under a page that is open, and then it is put back.
class Kept {
	constructor(name, db) {
		this.name = name;
		this.mirror = new Map();
		this.open = null; // a database being opened anew
		this.onback = () => {}; // told how many entries were put back
		this.use(db);
	}
	use(db) {
		this.db = db;
		db.onversionchange = (e) => { db.close(); if (e.newVersion === null) again(); }; // cleared; else a newer page wants it
		const again = () => { this.open = this.back().catch(() => {}); }; // where that fails the next saving says so
		db.onclose = again;
	}
	write(stores = ["entries"]) { return this.db.transaction(stores, "readwrite", strict); }
	read(store = "entries") { return this.db.transaction(store).objectStore(store); }

	async look() { for (const r of await this.all()) this.mind(r); }
	mind(r) { if (r.state === "sent") this.mirror.delete(r.id); else this.mirror.set(r.id, structuredClone(r)); }

	// ready waits until the database is there, and opens it anew where the browser
	// closed it.
	async ready() {
		await this.open;
		try { this.db.transaction("kept"); } catch { await (this.open = this.back().catch(() => {})); } // where that fails, what is done next says so
	}

	// back opens the database anew and puts back what it lacks. The browser may
	// still be busy clearing it.
	async back() {
		for (let tries = 0; ; tries++) {
			try { return await this.putBack(); } catch (e) { if (tries >= 20) throw e; }
			await new Promise((ok) => setTimeout(ok, 100));
		}
	}
	async putBack() {
		this.use(await openDatabase(this.name));
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx);
		let n = 0;
		for (const r of this.mirror.values()) {
			const req = entries.index("id").count(r.id);
			req.onerror = () => {};
			req.onsuccess = () => { if (req.result === 0) { entries.put(r); n++; } };
		}
		await end;
		if (n) this.onback(n);
	}

	async add(list) {
		await this.ready();
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx);
		const keys = list.map((r) => result(entries.add(r)));
		const got = await Promise.allSettled(keys); // the transaction tells of the failure
		await end;
		got.forEach((k, i) => { list[i].seq = k.value; this.mind(list[i]); });
	}
	async waiting(limit) { await this.ready(); return result(this.read().index("state").getAll(of("waiting"), limit)); }
	async all() { await this.ready(); return result(this.read().getAll()); }
	async count() {
		await this.ready();
		const tx = this.read().index("state");
		const [waiting, refused] = await Promise.all([result(tx.count(of("waiting"))), result(tx.count(of("refused")))]);
		return { waiting, refused };
	}
	// change applies f to the records of these ids within one transaction.
	async change(ids, f) {
		await this.ready();
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx), changed = [];
		for (const id of ids) {
			const req = entries.index("id").get(id);
			req.onsuccess = () => { if (req.result && f(req.result)) { entries.put(req.result); changed.push(req.result); } };
		}
		await end;
		for (const r of changed) this.mind(r);
	}
	// swap sets one entry aside for another, both or neither.
	async swap(id, from, to, record) {
		await this.ready();
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx);
		let old = null, key = null;
		const req = entries.index("id").get(id);
		req.onsuccess = () => {
			if (req.result?.state !== from) return;
			old = req.result;
			Object.assign(old, { state: to, mended: record.id });
			entries.put(old);
			const add = entries.add(record);
			add.onsuccess = () => { key = add.result; };
		};
		await end;
		if (!old) return false;
		record.seq = key;
		this.mind(old);
		this.mind(record);
		return true;
	}
	async settle(changes) {
		const by = new Map(changes.map((c) => [c.id, c]));
		await this.change(by.keys(), (r) => settle(r, by.get(r.id)));
	}
	async resend(ids, from = "sent") { await this.change(ids, (r) => r.state === from && Boolean(r.state = "waiting")); }
	async setState(id, from, to) { await this.change([id], (r) => r.state === from && Boolean(r.state = to)); }
	async drop(before) {
		await this.ready();
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx);
		const req = entries.index("state").openCursor(of("sent"));
		req.onsuccess = () => {
			const c = req.result;
			if (!c) return;
			if (c.value.settled < before) c.delete();
			c.continue();
		};
		await end;
	}
	async get(key) { await this.ready(); return result(this.read("kept").get(key)); }
	async set(key, value) {
		await this.ready();
		const tx = this.write(["kept"]);
		tx.objectStore("kept").put(value, key);
		await done(tx);
	}
}

const of = (state) => IDBKeyRange.bound([state, 0], [state, Infinity]);
