// What the ticked hives come to, worked out by the server and written here.
const form = document.getElementById("ticks");
const sums = document.getElementById("sums");
let waiting = 0;

async function addUp() {
	const mine = ++waiting;
	const body = new URLSearchParams(new FormData(form));
	try {
		const answer = await fetch("/short/sum", { method: "POST", body });
		const said = await answer.json();
		if (mine !== waiting) return; // a later tick is already being added up
		for (const dd of sums.querySelectorAll("[data-sum]")) {
			if (said[dd.dataset.sum] !== undefined) dd.textContent = said[dd.dataset.sum];
		}
		document.getElementById("sum-trouble").textContent = said.trouble ?? "";
	} catch {
		// No answer: the button still plans for what is ticked.
	}
}

if (form && sums) form.addEventListener("change", (e) => { if (e.target.name === "tick") addUp(); });
for (const select of document.querySelectorAll(".filters select")) select.addEventListener("change", () => select.form.requestSubmit());
