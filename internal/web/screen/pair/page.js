// A phone to be paired, perhaps again: what it still keeps, and a file of it.
import { el, line, openOutbox, saveFile } from "./panel.js";

const root = document.getElementById("outbox");
const words = JSON.parse(root.dataset.words);
const box = await openOutbox();

function draw() {
	const s = box.state, n = s.waiting + s.refused;
	root.hidden = n === 0;
	if (n === 0) return;
	root.replaceChildren(
		el("p", { role: "status" }, el("strong", {}, line(s, words)), document.getElementById("kept") ? "" : " " + words.kept),
		box.lost ? el("p", { class: "trouble" }, words.memory) : "",
		el("p", {}, el("button", { type: "button", id: "save-file", onclick: () => saveFile(box) }, words["save-file"])),
	);
}
box.listen(draw);
draw();
