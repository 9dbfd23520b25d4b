// While a code is on offer: when a phone has used it, or it is too old, the page
// is shown anew.
const offer = document.querySelector(".offer .code");
if (offer) {
	const timer = setInterval(async () => {
		if (document.hidden) return;
		try {
			const r = await fetch(location.href, { credentials: "same-origin" });
			if (!r.ok || (await r.text()).includes(offer.textContent)) return;
			clearInterval(timer);
			location.replace(location.pathname);
		} catch { /* the program was stopped: the page stays as it is */ }
	}, 3000);
}
