// A sheet is typed back in with the keyboard alone. Enter says "as planned" in
// an empty cell of the first column and goes down; arrows go down and up without
// saying anything; letters from any cell go where they belong.
const form = document.getElementById("sheet");
const rows = [...form.querySelectorAll("tbody tr")];
const cells = rows.map((r) => [...r.querySelectorAll("input:not([type=hidden])")]);
const key = "typed:" + location.pathname + form.elements.yard.value + (form.elements.code?.value || "");

const place = (input) => { const y = cells.findIndex((r) => r.includes(input)); return y < 0 ? null : { y, x: cells[y].indexOf(input) }; };
const go = (y, x) => { const c = cells[y]?.[x]; if (c) { c.focus(); c.select(); } return Boolean(c); };

// After the last row the focus is on Save, once the key is up: the key that ends
// a row must not press the button too.
const last = () => form.addEventListener("keyup", () => form.querySelector("button.main").focus(), { once: true });

form.addEventListener("keydown", (e) => {
	const at = place(e.target);
	if (!at || e.ctrlKey || e.metaKey || e.altKey || e.isComposing) return;
	const input = e.target;
	switch (e.key) {
	case "Enter":
		e.preventDefault();
		if (at.x === 0 && input.value === "" && rows[at.y].hasAttribute("data-planned")) input.value = "x";
		if (!go(at.y + 1, 0)) last();
		break;
	case "ArrowDown": e.preventDefault(); go(at.y + 1, at.x); break;
	case "ArrowUp": e.preventDefault(); go(at.y - 1, at.x); break;
	case "ArrowRight": if (input.selectionEnd === input.value.length) { e.preventDefault(); go(at.y, at.x + 1); } break;
	case "ArrowLeft": if (input.selectionStart === 0) { e.preventDefault(); go(at.y, at.x - 1); } break;
	case "Escape": input.value = input.defaultValue; break;
	}
	keep();
});
// Enter never saves by itself: only the button does.
form.addEventListener("keypress", (e) => { if (e.key === "Enter" && place(e.target)) e.preventDefault(); });
// A letter of trouble typed in the first column goes to its own. By what came
// into the cell, not by the key: phones do not tell of keys.
form.addEventListener("input", (e) => {
	const at = place(e.target);
	if (at?.x === 0 && /^[dqrfwlubs]$/i.test(e.target.value)) {
		cells[at.y][3].value = e.target.value.toUpperCase();
		e.target.value = "";
		if (!go(at.y + 1, 0)) last();
	}
	keep();
});
form.addEventListener("submit", () => sessionStorage.setItem(key + ":sent", "1"));

// What is typed is kept on this computer until it is saved.
function keep() {
	queueMicrotask(() => {
		try { sessionStorage.setItem(key, JSON.stringify(cells.map((r) => r.map((c) => c.value)))); } catch { /* a full store loses the draft only */ }
	});
}
if (document.querySelector(".status .said, .status p")) { sessionStorage.removeItem(key); sessionStorage.removeItem(key + ":sent"); }
else if (!document.getElementById("trouble")) {
	const draft = JSON.parse(sessionStorage.getItem(key) || "null");
	if (draft && draft.length === cells.length) draft.forEach((r, y) => r.forEach((v, x) => { if (v) cells[y][x].value = v; }));
	go(0, 0);
}
