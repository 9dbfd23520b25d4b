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

export async function openStore(name = "larder") {
	const open = indexedDB.open(name, 1);
	open.onupgradeneeded = () => {
		const e = open.result.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
		e.createIndex("id", "id", { unique: true });
		e.createIndex("state", ["state", "seq"]);
		open.result.createObjectStore("kept");
	};
	return new Kept(await result(open));
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

class Kept {
	constructor(db) {
		this.db = db;
		db.onversionchange = () => db.close(); // a newer page wants it
	}
	write(stores = ["entries"]) { return this.db.transaction(stores, "readwrite", strict); }
	read(store = "entries") { return this.db.transaction(store).objectStore(store); }

	async add(list) {
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx);
		const keys = list.map((r) => result(entries.add(r)));
		const got = await Promise.allSettled(keys); // the transaction tells of the failure
		await end;
		got.forEach((k, i) => { list[i].seq = k.value; });
	}
	async waiting(limit) { return result(this.read().index("state").getAll(of("waiting"), limit)); }
	async all() { return result(this.read().getAll()); }
	async count() {
		const tx = this.read().index("state");
		const [waiting, refused] = await Promise.all([result(tx.count(of("waiting"))), result(tx.count(of("refused")))]);
		return { waiting, refused };
	}
	// change applies f to the records of these ids within one transaction.
	async change(ids, f) {
		const tx = this.write(), entries = tx.objectStore("entries");
		const end = done(tx);
		for (const id of ids) {
			const req = entries.index("id").get(id);
			req.onsuccess = () => { if (req.result && f(req.result)) entries.put(req.result); };
		}
		await end;
	}
	async settle(changes) {
		const by = new Map(changes.map((c) => [c.id, c]));
		await this.change(by.keys(), (r) => settle(r, by.get(r.id)));
	}
	async resend(ids, from = "sent") { await this.change(ids, (r) => r.state === from && Boolean(r.state = "waiting")); }
	async setState(id, from, to) { await this.change([id], (r) => r.state === from && Boolean(r.state = to)); }
	async drop(before) {
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
	async get(key) { return result(this.read("kept").get(key)); }
	async set(key, value) {
		const tx = this.write(["kept"]);
		tx.objectStore("kept").put(value, key);
		await done(tx);
	}
}

const of = (state) => IDBKeyRange.bound([state, 0], [state, Infinity]);
