// The sheet by keyboard: move, ditto, undo, jump; a draft of every cell kept in
// this browser; what a row makes is worked out by the server.
const form = document.getElementById("sheet");
if (form) sheet(form);

function sheet(form) {
	const grid = document.getElementById("grid");
	const rows = [...grid.querySelectorAll("tbody tr[data-row]")];
	const words = document.getElementById("words").dataset;
	const told = document.getElementById("told");
	const cellOf = (row, kind) => row.querySelector(`[name^="${kind}."]`);
	const kindOf = (input) => input.name.split(".")[0];
	const rowOf = (input) => input.closest("tr[data-row]");
	const draftKey = `larder.readings.${form.dataset.yard}.${form.dataset.page}`;
	const kinds = ["first", "second", "feeder", "note", "way", "unit"];
	const undos = [];
	let was = ""; // what stood in the cell when it was entered

	document.getElementById("readback").hidden = false;

	// Moving.
	function go(row, kind) {
		const cell = row && cellOf(row, kind);
		if (!cell) return;
		cell.focus();
		if (cell.select) cell.select();
	}
	function step(input, by) {
		const i = rows.indexOf(rowOf(input)) + by;
		if (i >= 0 && i < rows.length) go(rows[i], kindOf(input));
	}
	// From a note begun with "n" the way down leads back to where one came from.
	let noteFrom = "";
	function down(input) {
		const kind = noteFrom && kindOf(input) === "note" ? noteFrom : kindOf(input);
		noteFrom = "";
		go(rows[rows.indexOf(rowOf(input)) + 1], kind);
	}
	function put(input, value) {
		if (input.value === value) return;
		undos.push([input, input.value]);
		input.value = value;
		was = value;
		changed(rowOf(input));
	}
	// Leaving a cell takes what was typed; Esc does not.
	function taken(input) {
		if (input.value === was) return;
		undos.push([input, was]);
		was = input.value;
		changed(rowOf(input));
	}
	function jump(name) {
		const want = name.toLowerCase();
		const row = rows.find((r) => r.dataset.hive.toLowerCase() === want)
			?? rows.find((r) => r.dataset.hive.toLowerCase().replace(/^\D*0*/, "") === want)
			?? rows.find((r) => r.querySelector(".no").textContent === want);
		if (!row) told.textContent = `${words.jump} ${name}`;
		return row;
	}

	const plain = /^[~\d\s.,+½¼¾]*(lb|kg)?\s*$/; // so far only a number
	grid.addEventListener("focusin", (e) => {
		if (e.target.tagName === "INPUT") was = e.target.value;
	});
	grid.addEventListener("focusout", (e) => {
		if (e.target.tagName === "INPUT") taken(e.target);
	});
	grid.addEventListener("keydown", (e) => {
		const input = e.target;
		if (input.tagName !== "INPUT" || e.isComposing || e.altKey) return;
		const kind = kindOf(input);
		if (e.ctrlKey || e.metaKey) {
			if (e.key === "z" && input.value === was && undos.length) {
				e.preventDefault();
				const [cell, old] = undos.pop();
				cell.value = old;
				cell.focus();
				was = old;
				changed(rowOf(cell));
			}
			return;
		}
		const act = {
			Enter: () => { taken(input); if (e.shiftKey) step(input, -1); else down(input); },
			ArrowDown: () => { taken(input); down(input); },
			ArrowUp: () => { taken(input); step(input, -1); },
			Home: () => { taken(input); go(rows[0], kind); },
			End: () => { taken(input); go(rows[rows.length - 1], kind); },
			Escape: () => { input.value = was; keep(); },
		}[e.key];
		if (act) {
			e.preventDefault();
			act();
			return;
		}
	});
	// Letters that mean something are caught as they are typed, not as keys: so
	// the keyboards of phones, which name no keys, have them too.
	grid.addEventListener("beforeinput", (e) => {
		const input = e.target;
		if (input.tagName !== "INPUT" || e.inputType !== "insertText" || e.isComposing) return;
		const row = rowOf(input), kind = kindOf(input), empty = input.value === "" || fullySelected(input);
		if (e.data === "/" && empty) {
			e.preventDefault();
			const above = rows[rows.indexOf(row) - 1];
			if (above) put(input, cellOf(above, kind).value);
			return;
		}
		if (kind === "note" || !(empty || plain.test(input.value)) && e.data !== "g") return;
		switch (e.data) {
		case "n":
			e.preventDefault();
			taken(input);
			go(row, "note");
			noteFrom = kind;
			break;
		case "e":
			e.preventDefault();
			taken(input);
			put(cellOf(row, "feeder"), "0");
			was = input.value;
			break;
		case "g": {
			const name = input.value.trim();
			if (!/^[a-z]*\d+$/i.test(name)) return;
			e.preventDefault();
			const to = jump(name);
			input.value = was;
			if (to) go(to, kind);
		}
		}
	});
	// Some devices send the letter of Enter apart from its key: it must not save.
	grid.addEventListener("keypress", (e) => {
		if (e.key === "Enter" && e.target.tagName === "INPUT") e.preventDefault();
	});
	function fullySelected(input) { return input.selectionStart === 0 && input.selectionEnd === input.value.length; }

	// A column or block pasted from a spreadsheet fills down and to the right.
	grid.addEventListener("paste", (e) => {
		const text = e.clipboardData?.getData("text/plain") ?? "";
		const input = e.target;
		if (input.tagName !== "INPUT" || !/[\n\t]/.test(text.trim())) return;
		e.preventDefault();
		const block = text.replace(/\r\n?/g, "\n").replace(/\n$/, "").split("\n").map((l) => l.split("\t"));
		const cols = ["first", ...(grid.classList.contains("one-lift") ? [] : ["second"]), "feeder", "note"];
		const top = rows.indexOf(rowOf(input)), left = cols.indexOf(kindOf(input));
		block.forEach((line, i) => line.forEach((value, j) => {
			const row = rows[top + i], kind = cols[left + j];
			if (row && kind) put(cellOf(row, kind), value.trim());
		}));
	});

	// The draft: every cell, at every letter.
	function keep() {
		const draft = { way: form.way.value, unit: form.unit.value, day: form.day.value, rows: {} };
		for (const row of rows) {
			const cells = {};
			for (const k of kinds) {
				const v = cellOf(row, k).value;
				if (v !== "") cells[k] = v;
			}
			if (Object.keys(cells).length) draft.rows[row.dataset.hive] = cells;
		}
		try {
			if (Object.keys(draft.rows).length) localStorage.setItem(draftKey, JSON.stringify(draft));
			else localStorage.removeItem(draftKey);
		} catch { /* no room or not allowed: the page itself still holds it */ }
		tally();
	}
	function restore() {
		let draft;
		try { draft = JSON.parse(localStorage.getItem(draftKey)); } catch { return; }
		if (!draft?.rows) return;
		const back = [];
		for (const row of rows) {
			const cells = draft.rows[row.dataset.hive];
			if (!cells) continue;
			for (const k of kinds) if (typeof cells[k] === "string") cellOf(row, k).value = cells[k];
			back.push(row);
		}
		if (!back.length) return;
		for (const k of ["way", "unit", "day"]) if (draft[k]) form[k].value = draft[k];
		document.getElementById("restored").hidden = false;
		lifts();
		back.forEach(changed);
	}
	document.getElementById("throw").addEventListener("click", () => {
		for (const row of rows) for (const k of kinds) cellOf(row, k).value = "";
		document.getElementById("restored").hidden = true;
		rows.forEach(show);
		keep();
		go(rows[0], "first");
	});
	form.addEventListener("input", keep);
	form.addEventListener("change", (e) => {
		if (e.target.tagName !== "SELECT" && e.target.id !== "day") return;
		lifts();
		if (rowOf(e.target)) changed(rowOf(e.target));
		else rows.filter(typed).forEach(changed);
		keep();
	});
	// Enter in the head of the form moves into the sheet; it does not save.
	form.day.addEventListener("keydown", (e) => {
		if (e.key !== "Enter") return;
		e.preventDefault();
		go(rows[0], "first");
	});
	function lifts() {
		const two = form.way.value === "lift2" || rows.some((r) => cellOf(r, "way").value === "lift2" || cellOf(r, "second").value !== "");
		grid.classList.toggle("one-lift", !two);
	}
	const typed = (row) => kinds.slice(0, 4).some((k) => cellOf(row, k).value.trim() !== "");
	function tally() {
		const n = rows.filter(typed).length, bad = rows.filter((r) => r.classList.contains("bad")).length;
		document.getElementById("tally").textContent = n ? words.tally.replace("%n", n).replace("%b", bad) : "";
	}

	// What rows make of it: the server is asked, a few rows at a time.
	const waiting = new Set();
	let timer = 0, asking = false;
	function changed(row) {
		show(row);
		waiting.add(row);
		keep();
		clearTimeout(timer);
		timer = setTimeout(ask, 60);
	}
	async function ask() {
		if (asking || !waiting.size) return;
		const batch = [...waiting].slice(0, 40);
		batch.forEach((r) => waiting.delete(r));
		const body = new URLSearchParams({ way: form.way.value, unit: form.unit.value, day: form.day.value });
		for (const row of batch) {
			body.set(`hive.${row.dataset.row}`, row.dataset.hive);
			for (const k of kinds) body.set(`${k}.${row.dataset.row}`, cellOf(row, k).value);
		}
		asking = true;
		try {
			const answer = await fetch("/readings/judge", { method: "POST", body });
			if (answer.ok) for (const said of (await answer.json()).rows) {
				const row = rows.find((r) => r.dataset.row === String(said.row));
				if (row && said.key === ["first", "second", "way", "unit"].map((k) => cellOf(row, k).value).join("|")) show(row, said);
			}
		} catch { /* not reached: the sheet is judged again when it is saved */ }
		asking = false;
		tally();
		if (waiting.size) ask();
	}
	function show(row, said) {
		const part = (name) => row.querySelector(`.makes .${name}`);
		const bad = said?.bad ?? {};
		part("now").hidden = Boolean(said?.say || said?.dead);
		part("say").textContent = said?.dead ?? (said?.say ? `${said.read ? said.read + ": " : ""}${said.say}` : said?.not_read ? words.notread : "");
		part("ask").textContent = (said?.ask ?? []).map((a) => `${words.unlikely} ${a}`).join(" ");
		part("bad").textContent = Object.values(bad).map((b) => b.hint ? `${b.say} – ${b.hint}` : b.say).join(" ");
		for (const k of kinds.slice(0, 3)) {
			if (bad[k]) cellOf(row, k).setAttribute("aria-invalid", "true");
			else cellOf(row, k).removeAttribute("aria-invalid");
		}
		row.classList.toggle("bad", Object.keys(bad).length > 0);
		row.classList.toggle("ask", Boolean(said?.ask?.length));
		cellOf(row, "kept").value = said?.ask?.length ? said.key : "";
		if (said && (said.say || part("bad").textContent)) told.textContent = `${row.dataset.hive}: ${part("say").textContent} ${part("ask").textContent} ${part("bad").textContent}`;
	}

	document.getElementById("readback").addEventListener("click", (e) => {
		const on = grid.classList.toggle("readback");
		e.target.setAttribute("aria-pressed", String(on));
	});

	if ("saved" in form.dataset) {
		try { localStorage.removeItem(draftKey); } catch { /* nothing was kept then */ }
	}
	if ("fresh" in form.dataset) restore();
	keep();
	if (!document.getElementById("trouble") && !document.querySelector(".status .said") && matchMedia("(min-width: 900px)").matches) go(rows[0], "first");
}
