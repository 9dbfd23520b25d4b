// An amount typed says which way it is told; a choice is worked out at once.
const form = document.getElementById("recipe");
if (form) {
	form.addEventListener("input", (e) => {
		const how = { make: "make", sacks: "sacks", sack: "sacks", sugar: "sugar" }[e.target.name];
		if (how) form.querySelector(`[name=how][value=${how}]`).checked = true;
	});
	form.addEventListener("change", (e) => { if (e.target.name === "by") form.requestSubmit(); });
}
