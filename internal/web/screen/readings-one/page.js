// The digit pad writes into the box entered last.
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
