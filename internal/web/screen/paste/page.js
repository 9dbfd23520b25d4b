// What is chosen about a table is worked out anew at once.
const form = document.getElementById("paste");
const again = document.getElementById("again");
if (again) {
	form.addEventListener("change", (e) => {
		if (e.target.tagName === "SELECT" && !["stack", "feeder"].includes(e.target.id)) form.requestSubmit(again);
	});
	form.addEventListener("input", (e) => {
		// A name typed to be matched to says that it is to be matched.
		if (e.target.name?.startsWith("match.")) e.target.closest("fieldset").querySelector('[value="match"]').checked = true;
	});
} else if (form) {
	const text = document.getElementById("text");
	try {
		if (!text.value) text.value = sessionStorage.getItem("larder.paste") ?? "";
		text.addEventListener("input", () => sessionStorage.setItem("larder.paste", text.value));
	} catch { /* kept on the page alone */ }
}
