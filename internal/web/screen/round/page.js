// The list of trips: where the entries of this phone are, and its trips made
// ready for the yard.
import { el, line, lookList, mode, namePhone, openOutbox, promise, saveFile, skewSays, warnings, worker } from "./panel.js";

const root = document.getElementById("outbox");
const words = JSON.parse(root.dataset.words);
const box = await openOutbox();

async function draw() {
	const s = box.state;
	root.replaceChildren(...[
		el("p", { role: "status" }, el("strong", {}, line(s, words)), s.trouble ? " " + s.trouble : ""),
		skewSays(s, words) ? el("p", {}, skewSays(s, words)) : null,
		...warnings(box, words),
		s.old ? el("p", { class: "trouble" }, s.old) : null,
		s.pair ? el("p", {}, words.pair, " ", el("a", { class: "button", href: "/pair" }, words["pair-go"])) : null,
		el("p", { class: "mode" }, words["mode." + mode] || ""),
		...await lookList(box, words, draw),
		s.waiting ? el("div", { class: "ways" }, el("button", { type: "button", onclick: () => box.kick() }, words["send-now"]), el("button", { type: "button", onclick: () => saveFile(box) }, words["save-file"])) : null,
		el("details", {}, el("summary", {}, words["this-phone"]), el("p", {}, await promise(box, words)), namePhone(box, words)),
	].filter(Boolean));
	root.hidden = false;
}
box.listen((s) => { const p = root.querySelector("strong"); if (p && !root.contains(document.activeElement)) draw(); else if (p) p.textContent = line(s, words); });
await draw();
worker(["/round", "/readings/one", ...[...document.querySelectorAll("a.trip")].map((a) => a.getAttribute("href"))]);
