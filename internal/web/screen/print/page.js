// The button only where it can do something.
const button = document.querySelector("[data-print]");
if (button) {
	button.hidden = false;
	button.addEventListener("click", () => window.print());
}
