// A run of QR codes, for a phone that can give its entries back in no other way.
// Byte mode, error level M, versions 1 to 15, after ISO/IEC 18004:2015; the
// tables of blocks are its table 9.

// Per version: check words a block, blocks of the first kind, data words of each,
// blocks of the second kind (one data word more).
const M = [, [10, 1, 16, 0], [16, 1, 28, 0], [26, 1, 44, 0], [18, 2, 32, 0], [24, 2, 43, 0], [16, 4, 27, 0], [18, 4, 31, 0], [22, 2, 38, 2], [22, 3, 36, 2],
	[26, 4, 43, 1], [30, 1, 50, 4], [22, 6, 36, 2], [22, 8, 37, 1], [24, 4, 40, 5], [24, 5, 41, 5]];
const ALIGN = [, [], [6, 18], [6, 22], [6, 26], [6, 30], [6, 34], [6, 22, 38], [6, 24, 42], [6, 26, 46], [6, 28, 50], [6, 30, 54], [6, 32, 58], [6, 34, 62], [6, 26, 46, 66], [6, 26, 48, 70]];

const exp = new Uint8Array(512), log = new Uint8Array(256);
for (let i = 0, x = 1; i < 255; i++) { exp[i] = exp[i + 255] = x; log[x] = i; x <<= 1; if (x & 256) x ^= 0x11d; }
const times = (a, b) => a && b ? exp[log[a] + log[b]] : 0;

// checks gives the n check words of data: the rest of a division of polynomials.
function checks(data, n) {
	let gen = [1];
	for (let i = 0; i < n; i++) {
		const next = new Array(gen.length + 1).fill(0);
		gen.forEach((g, k) => { next[k] ^= g; next[k + 1] ^= times(g, exp[i]); });
		gen = next;
	}
	const rest = [...data, ...new Array(n).fill(0)];
	for (let i = 0; i < data.length; i++) {
		const f = rest[i];
		if (f) gen.forEach((g, k) => { rest[i + k] ^= times(g, f); });
	}
	return rest.slice(data.length);
}

const words = (v) => M[v][1] * M[v][2] + M[v][3] * (M[v][2] + 1);
const room = (v) => words(v) - (v < 10 ? 2 : 3);

// matrix gives the modules of a text of ASCII signs: rows of true (dark) and
// false.
export function matrix(text) {
	const bytes = new TextEncoder().encode(text);
	let v = 1;
	while (v < M.length && room(v) < bytes.length) v++;
	if (v >= M.length) throw new Error("too long for one code");
	const bits = [];
	const put = (x, n) => { for (let i = n - 1; i >= 0; i--) bits.push(x >> i & 1); };
	put(4, 4);
	put(bytes.length, v < 10 ? 8 : 16);
	for (const b of bytes) put(b, 8);
	put(0, Math.min(4, words(v) * 8 - bits.length));
	while (bits.length % 8) bits.push(0);
	const data = [];
	for (let i = 0; i < bits.length; i += 8) data.push(parseInt(bits.slice(i, i + 8).join(""), 2));
	for (let pad = 0xec; data.length < words(v); pad ^= 0xec ^ 0x11) data.push(pad);

	const [ec, one, size, two] = M[v], blocks = [];
	for (let i = 0, at = 0; i < one + two; i++) { const n = size + (i >= one ? 1 : 0); blocks.push(data.slice(at, at + n)); at += n; }
	const check = blocks.map((b) => checks(b, ec)), stream = [];
	for (let i = 0; i <= size; i++) for (const b of blocks) if (i < b.length) stream.push(b[i]);
	for (let i = 0; i < ec; i++) for (const c of check) stream.push(c[i]);
	return best(v, stream);
}

function best(v, stream) {
	let out = null, least = Infinity;
	for (let mask = 0; mask < 8; mask++) {
		const m = draw(v, stream, mask), p = penalty(m);
		if (p < least) { least = p; out = m; }
	}
	return out;
}

const MASKS = [(r, c) => (r + c) % 2 === 0, (r) => r % 2 === 0, (r, c) => c % 3 === 0, (r, c) => (r + c) % 3 === 0, (r, c) => (Math.floor(r / 2) + Math.floor(c / 3)) % 2 === 0,
	(r, c) => r * c % 2 + r * c % 3 === 0, (r, c) => (r * c % 2 + r * c % 3) % 2 === 0, (r, c) => ((r + c) % 2 + r * c % 3) % 2 === 0];

function draw(v, stream, mask) {
	const n = 17 + 4 * v, m = Array.from({ length: n }, () => new Array(n).fill(null));
	const set = (r, c, dark) => { if (r >= 0 && c >= 0 && r < n && c < n) m[r][c] = dark; };
	for (const [r0, c0] of [[0, 0], [0, n - 7], [n - 7, 0]])
		for (let r = -1; r < 8; r++) for (let c = -1; c < 8; c++) {
			const d = Math.max(Math.abs(r - 3), Math.abs(c - 3));
			set(r0 + r, c0 + c, d !== 2 && d !== 4);
		}
	const a = ALIGN[v];
	for (const r0 of a) for (const c0 of a) {
		if (m[r0][c0] !== null) continue;
		for (let r = -2; r <= 2; r++) for (let c = -2; c <= 2; c++) m[r0 + r][c0 + c] = Math.max(Math.abs(r), Math.abs(c)) !== 1;
	}
	for (let i = 8; i < n - 8; i++) { m[6][i] ??= i % 2 === 0; m[i][6] ??= i % 2 === 0; }
	const set15 = formatBits(mask);
	for (let i = 0; i < 15; i++) {
		const dark = Boolean(set15 >> i & 1);
		if (i < 6) m[i][8] = dark; else if (i < 8) m[i + 1][8] = dark; else m[n - 15 + i][8] = dark;
		if (i < 8) m[8][n - 1 - i] = dark; else if (i < 9) m[8][7] = dark; else m[8][14 - i] = dark;
	}
	m[n - 8][8] = true;
	if (v >= 7) {
		let rest = v;
		for (let i = 0; i < 12; i++) rest = rest << 1 ^ (rest >> 11) * 0x1f25;
		const b18 = v << 12 | rest;
		for (let i = 0; i < 18; i++) { const dark = Boolean(b18 >> i & 1), x = n - 11 + i % 3, y = Math.floor(i / 3); m[y][x] = dark; m[x][y] = dark; }
	}
	let k = 0;
	for (let c = n - 1; c > 0; c -= 2) {
		if (c === 6) c--;
		for (let i = 0; i < n; i++) {
			const up = (c + 1 & 2) === 0, r = up ? n - 1 - i : i;
			for (const cc of [c, c - 1]) {
				if (m[r][cc] !== null) continue;
				const bit = k < stream.length * 8 ? stream[k >> 3] >> 7 - (k & 7) & 1 : 0;
				k++;
				m[r][cc] = Boolean(bit) !== MASKS[mask](r, cc);
			}
		}
	}
	return m;
}

// formatBits: level M is 00; BCH (15, 5), then the fixed mask.
function formatBits(mask) {
	let rest = mask;
	for (let i = 0; i < 10; i++) rest = rest << 1 ^ (rest >> 9) * 0x537;
	return (mask << 10 | rest) ^ 0x5412;
}

function penalty(m) {
	const n = m.length;
	let p = 0, dark = 0;
	const lines = [...m, ...m.map((_, c) => m.map((r) => r[c]))];
	for (const l of lines) {
		let run = 1;
		for (let i = 1; i <= n; i++) {
			if (i < n && l[i] === l[i - 1]) { run++; continue; }
			if (run >= 5) p += run - 2;
			run = 1;
		}
		const s = l.map((x) => x ? "1" : "0").join("");
		for (let i = s.indexOf("1011101"); i >= 0; i = s.indexOf("1011101", i + 1)) if (s.slice(Math.max(0, i - 4), i) === "0000" || s.slice(i + 7, i + 11) === "0000") p += 40;
	}
	for (let r = 0; r < n; r++) for (let c = 0; c < n; c++) {
		if (m[r][c]) dark++;
		if (r && c && m[r][c] === m[r - 1][c] && m[r][c] === m[r][c - 1] && m[r][c] === m[r - 1][c - 1]) p += 3;
	}
	return p + Math.floor(Math.abs(dark * 20 / (n * n) - 10)) * 10;
}

// PIECE is how much goes into one code: version 12, still read off a phone's
// glass at arm's length.
const PIECE = 270;

// texts cuts entries into the texts of a run of codes; home joins them in any
// order.
export function texts(object) {
	const bytes = new TextEncoder().encode(JSON.stringify(object));
	let bin = "";
	for (const b of bytes) bin += String.fromCharCode(b);
	const all = btoa(bin).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
	const of = Math.max(1, Math.ceil(all.length / PIECE));
	return Array.from({ length: of }, (_, i) => `LARDER ${i + 1}/${of} ${all.slice(i * PIECE, (i + 1) * PIECE)}`);
}

// codes draws the run.
export function codes(object) {
	return texts(object).map((text) => {
		const m = matrix(text), n = m.length + 8, ns = "http://www.w3.org/2000/svg";
		const svg = document.createElementNS(ns, "svg");
		svg.setAttribute("viewBox", `0 0 ${n} ${n}`);
		svg.setAttribute("role", "img");
		svg.setAttribute("aria-label", text.slice(0, 14));
		svg.setAttribute("shape-rendering", "crispEdges");
		const ground = document.createElementNS(ns, "rect");
		ground.setAttribute("width", n);
		ground.setAttribute("height", n);
		ground.setAttribute("fill", "#fff");
		const path = document.createElementNS(ns, "path");
		path.setAttribute("fill", "#000");
		path.setAttribute("d", m.flatMap((row, r) => row.map((dark, c) => dark ? `M${c + 4} ${r + 4}h1v1h-1z` : "")).join(""));
		svg.append(ground, path);
		return svg;
	});
}
