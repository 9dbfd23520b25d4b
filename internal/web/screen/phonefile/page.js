// The camera of this computer reads the codes a phone shows, one after the
// other. The browser's own reader is used where it has one; else pictures go to
// the program, which reads them. Without a camera the rest of the page does.
const form = document.getElementById("handin"), part = document.getElementById("camera");
const start = document.getElementById("camera-start"), view = document.getElementById("view"), says = document.getElementById("camera-says");
const codes = document.getElementById("codes");
const EVERY = 250; // ms between pictures
const WIDE = 1280;

let stream = null;

// A plain connection over the home network has no camera: the browser forbids it.
if (navigator.mediaDevices?.getUserMedia) part.hidden = false;

const fill = (text, v) => text.replace(/\{(\w+)\}/g, (_, k) => v[k]);

// read gives what of the run is in the box: how many of how many.
function read() {
	const got = new Set();
	let of = 0;
	for (const line of codes.value.split("\n")) {
		const m = /^LARDER (\d+)\/(\d+) /.exec(line.trim());
		if (m) { got.add(m[1]); of = Number(m[2]); }
	}
	return { count: got.size, of };
}

// took writes new codes into the box; true when the run is whole.
function took(texts) {
	const fresh = texts.filter((t) => t.startsWith("LARDER ") && !codes.value.includes(t));
	if (fresh.length) {
		codes.value = (codes.value.trim() + "\n" + fresh.join("\n")).trim() + "\n";
		navigator.vibrate?.(30);
	}
	const r = read();
	if (r.count) says.textContent = fill(r.count === r.of ? part.dataset.all : part.dataset.read, r);
	return r.of > 0 && r.count === r.of;
}

async function reader() {
	const own = globalThis.BarcodeDetector;
	if (own && (await own.getSupportedFormats().catch(() => [])).includes("qr_code")) {
		const d = new own({ formats: ["qr_code"] });
		return async () => (await d.detect(view)).map((c) => c.rawValue);
	}
	const canvas = document.createElement("canvas"), pen = canvas.getContext("2d", { willReadFrequently: true });
	return async () => {
		const scale = Math.min(1, WIDE / view.videoWidth);
		canvas.width = view.videoWidth * scale;
		canvas.height = view.videoHeight * scale;
		pen.drawImage(view, 0, 0, canvas.width, canvas.height);
		const blob = await new Promise((ok) => canvas.toBlob(ok, "image/jpeg", 0.85));
		const r = await fetch("/phone/code", { method: "POST", credentials: "same-origin", headers: { "Content-Type": "image/jpeg" }, body: blob });
		return r.ok ? (await r.json()).codes || [] : [];
	};
}

function off() {
	for (const t of stream?.getTracks() || []) t.stop();
	stream = null;
	view.hidden = true;
	view.srcObject = null;
	start.textContent = part.dataset.start;
}

async function on() {
	try {
		stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: WIDE }, height: { ideal: 960 } } });
	} catch {
		says.textContent = part.dataset.none;
		return;
	}
	view.srcObject = stream;
	view.hidden = false;
	start.textContent = part.dataset.stop;
	says.textContent = part.dataset.look;
	await view.play();
	const look = await reader();
	while (stream) {
		try {
			if (view.videoWidth && took(await look())) {
				off();
				form.requestSubmit(); // all are read; taking them twice would be harmless
				return;
			}
		} catch { says.textContent = part.dataset.away; }
		await new Promise((ok) => setTimeout(ok, EVERY));
	}
}

start.addEventListener("click", () => stream ? off() : on());
addEventListener("pagehide", off);
