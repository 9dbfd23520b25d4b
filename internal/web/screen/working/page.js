// How far the work is, asked twice a second; when it has ended, the page it was
// for. A lost connection is no reason to give up: the work goes on at home.
const work = document.getElementById("work");
if (work) {
	const bar = work.querySelector("progress"), stage = work.querySelector(".stage"), found = document.getElementById("found");
	const look = async () => {
		try {
			const answer = await fetch("/working/" + work.dataset.task, { cache: "no-store" });
			const far = await answer.json();
			if (far.ended) return location.reload();
			bar.value = far.percent;
			stage.textContent = far.say;
			found.hidden = !far.found;
			if (far.found && found.querySelector("p").textContent !== far.found) found.querySelector("p").textContent = far.found;
		} catch { /* asked again below */ }
		setTimeout(look, 500);
	};
	setTimeout(look, 300);
}
