// What every page shares: put the focus on trouble, let the status line go
// after half a minute (the act stays undoable under Given and taken).
const trouble = document.getElementById("trouble");
if (trouble) trouble.focus();

const status = document.querySelector(".status .said");
if (status) {
	setTimeout(() => status.remove(), 30000);
	const url = new URL(location.href);
	url.searchParams.delete("done");
	history.replaceState(null, "", url);
}

// The same button pressed twice within 400 ms is a slip of a glove.
document.addEventListener("submit", (e) => {
	const form = e.target;
	if (form.dataset.sent && Date.now() - Number(form.dataset.sent) < 400) e.preventDefault();
	else form.dataset.sent = String(Date.now());
});
