// One hive at a time. The digit pad writes into the box entered last. What is
// saved goes into the outbox of this phone first, as on a round: so it is kept
// without signal, and sent when there is some.
import { asEntry, el, fill, line, lookList, mode, openOutbox, saveFile, skewSays, warnings, worker } from "./panel.js";

const pad = document.getElementById("pad");
const form = document.getElementById("one");
if (pad && form && form.way.value !== "hand") {
	pad.hidden = false;
	let box = document.getElementById("first");
	form.addEventListener("focusin", (e) => { if (e.target.matches("#first, #second, #feeder")) box = e.target; });
	pad.addEventListener("click", (e) => {
		const key = e.target.closest("button")?.dataset.key;
		if (!key) return;
		box.value = key === "back" ? box.value.slice(0, -1) : box.value + key;
	});
}

const part = document.getElementById("kept");
if (part) await begin(JSON.parse(part.dataset.doc));

async function begin(doc) {
	const words = doc.words, ask = new URLSearchParams(location.search);
	const box = await openOutbox();
	const $ = (id) => document.getElementById(id);
	let said = "", last = null, ended = false;

	// The page may be the copy kept on this phone: it opens for the yard and hive
	// that were asked for.
	const yard = ask.has("yard") ? ask.get("yard") : form.yard.value;
	const hives = doc.hives.filter((h) => !yard || h.yard === yard);
	form.yard.value = yard;
	for (const k of ["way", "unit"]) if (ask.get(k)) form[k].value = ask.get(k);
	const asked = hives.findIndex((h) => h.hive === (ask.get("hive") || form.hive.value));
	if (!$("trouble") && hives.length) await show(Math.max(asked, 0), false);

	async function show(i, clear = true) {
		const h = hives[i];
		ended = !h;
		$("first").closest("form").querySelector(".go").hidden = ended;
		if (ended) { await tell(); return; }
		form.hive.value = h.hive;
		form.kept.value = "";
		form.querySelector(".where .hive").textContent = h.hive;
		form.querySelector(".where .note").textContent = h.in + " · " + fill(words["read.of"], { count: i + 1, of: hives.length });
		$("now").textContent = h.now;
		if ($("before")) $("before").hidden = true; // it leads by the net: Undo is at the top
		if (clear) for (const id of ["first", "second", "feeder", "note"]) if ($(id)) $(id).value = "";
		for (const e of document.querySelectorAll(".bad")) e.remove();
		for (const e of document.querySelectorAll("[aria-invalid]")) e.removeAttribute("aria-invalid");
		$("trouble")?.remove();
		await tell();
		if (clear) scrollTo(0, 0); // the first hive stands there already, and he may have moved on in the page
	}
	const at = () => hives.findIndex((h) => h.hive === form.hive.value);

	async function tell() {
		const s = box.state;
		part.hidden = false;
		part.replaceChildren(...[
			el("p", { role: "status" }, el("strong", {}, line(s, words)), said ? " · " + said : ""),
			skewSays(s, words) ? el("p", {}, skewSays(s, words)) : null,
			...warnings(box, words),
			mode === "c" ? el("p", {}, words["mode.c"]) : null,
			last ? el("button", { type: "button", id: "take-back", onclick: takeBack }, words.undo + ": " + last.hive) : null,
			ended ? el("p", {}, el("strong", {}, words["read.all"])) : null,
			...(s.refused ? await lookList(box, words, tell) : []),
			s.waiting && s.away ? el("button", { type: "button", onclick: () => saveFile(box) }, words["save-file"]) : null,
		].filter(Boolean));
	}
	box.listen(tell);

	async function takeBack() {
		const { act, hive } = last;
		try { await box.undo(act, { hive }); } catch { alarm(words["not-kept"]); return; }
		last = null;
		said = fill(words.undone, { hive });
		await show(hives.findIndex((h) => h.hive === hive));
	}

	function alarm(says) {
		$("first-bad")?.remove();
		$("first").before(el("span", { class: "bad", id: "first-bad", role: "alert" }, says));
		$("first").setAttribute("aria-invalid", "true");
		$("first").setAttribute("aria-describedby", "first-bad");
		$("first").focus();
	}

	// unlikely asks home what it makes of the row, and does not wait long. It gives
	// what to say and whether it cannot be kept, and null when home does not answer.
	async function unlikely() {
		const row = new URLSearchParams({ yard: form.yard.value, way: form.way.value, unit: form.unit.value, day: "", "hive.0": form.hive.value });
		for (const id of ["first", "second", "feeder", "note"]) if ($(id)?.value) row.set(id + ".0", $(id).value);
		try {
			const r = await fetch("/readings/judge", { method: "POST", credentials: "same-origin", body: row, signal: AbortSignal.timeout(1500) });
			if (!r.ok) return null;
			const j = (await r.json()).rows[0];
			const bad = Object.values(j?.bad || {})[0];
			return bad ? { says: bad.say, hard: true } : { says: (j?.ask || []).join(" ") };
		} catch { return null; }
	}

	form.addEventListener("submit", async (e) => {
		if (ended) return;
		const typed = { way: form.way.value, unit: form.unit.value, feed: doc.feed, hive: form.hive.value };
		for (const id of ["first", "second", "feeder", "note"]) typed[id] = $(id)?.value.trim() || "";
		const facts = asEntry(typed);
		if (facts === null && navigator.onLine) return; // home reads what this page cannot
		e.preventDefault();
		if (facts === null || facts.length === 0) { alarm(words[facts ? "read.nothing" : "read.plain"]); return; }
		if (form.kept.value !== JSON.stringify(typed)) {
			const x = await unlikely();
			if (x?.hard) { alarm(x.says); return; }
			if (x?.says) { form.kept.value = JSON.stringify(typed); alarm(x.says.replace(/([^.?!])$/, "$1.") + " " + words["read.sure"]); return; }
		}
		const told = fill(words["said.heft"], { hive: typed.hive }) + " " + [typed.first, typed.second].filter(Boolean).join(" + ");
		try {
			const saved = await box.save(facts.map((f) => ({ ...f, told })), { hive: typed.hive });
			last = { act: saved[0].act, hive: typed.hive };
			said = words["on-phone"] + " " + told;
		} catch { alarm(words["not-kept"]); return; }
		await show(at() + 1 < hives.length ? at() + 1 : hives.length);
	});
	form.querySelector(".go a")?.addEventListener("click", (e) => {
		if (at() < 0 || at() + 1 >= hives.length) return;
		e.preventDefault();
		said = "";
		show(at() + 1);
	});
	form.way.addEventListener("change", () => { if (navigator.onLine) location.search = new URLSearchParams({ yard: form.yard.value, way: form.way.value, unit: form.unit.value, hive: form.hive.value }); });
	form.dataset.ready = "1";
	worker(["/readings/one"]);
}
