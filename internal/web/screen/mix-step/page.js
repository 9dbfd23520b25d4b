// The screen stays awake at the tank, where the browser allows it.
let lock = null;
async function wake() {
	try {
		lock = await navigator.wakeLock?.request("screen");
	} catch { /* not allowed here: it sleeps as usual */ }
}
wake();
document.addEventListener("visibilitychange", () => { if (document.visibilityState === "visible" && lock?.released) wake(); });
