// A tick goes with the amount shown, and an amount typed takes the tick away.
const form = document.getElementById("sheet");
for (const id of ["pick-yard", "pick-feed"]) {
	const pick = document.getElementById(id);
	if (pick) pick.addEventListener("change", () => pick.form.requestSubmit());
}
if (form) {
	const part = (input, kind) => form.querySelector(`[name="${kind}.${input.name.split(".")[1]}"]`);
	form.addEventListener("input", (e) => {
		if (!e.target.name.startsWith("given.")) return;
		const tick = part(e.target, "tick");
		if (tick) tick.checked = tick.checked && e.target.value === part(e.target, "was").value;
	});
	form.addEventListener("change", (e) => {
		if (e.target.id === "all") {
			for (const tick of form.querySelectorAll('[name^="tick."]')) {
				if (part(tick, "given").value === part(tick, "was").value && !part(tick, "why").value) tick.checked = e.target.checked;
			}
		}
		if (e.target.name.startsWith("tick.") && e.target.checked) part(e.target, "given").value = part(e.target, "was").value;
		if (e.target.name.startsWith("why.") && e.target.value) {
			const tick = part(e.target, "tick");
			if (tick) tick.checked = false;
		}
	});
	// Enter goes down a column; it does not save.
	form.addEventListener("keydown", (e) => {
		if (e.target.tagName !== "INPUT" || !["Enter", "ArrowDown", "ArrowUp"].includes(e.key) || e.target.type === "checkbox") return;
		const [kind, i] = e.target.name.split(".");
		if (!i) return;
		const next = form.querySelector(`[name="${kind}.${Number(i) + (e.key === "ArrowUp" || e.shiftKey ? -1 : 1)}"]`);
		e.preventDefault();
		if (next) { next.focus(); next.select(); }
	});
	form.addEventListener("keypress", (e) => {
		if (e.key === "Enter" && e.target.tagName === "INPUT" && e.target.name.includes(".")) e.preventDefault();
	});
}
