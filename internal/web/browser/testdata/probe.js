// What the browser tests ask of a page. Evaluated through the protocol, so the
// page's own policy stays in force.
globalThis.probe = (() => {
	const shown = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && e.getClientRects().length > 0;
	const hiddenFromSight = (e) => !!e.closest(".visually-hidden, .skip:not(:focus), thead[class], .offscreen");
	const name = (e) => {
		const id = e.id ? "#" + e.id : "";
		const cls = typeof e.className === "string" && e.className ? "." + e.className.trim().split(/\s+/).join(".") : "";
		const text = (e.getAttribute("aria-label") || e.innerText || e.value || e.getAttribute("name") || "").trim().replace(/\s+/g, " ").slice(0, 40);
		return e.tagName.toLowerCase() + id + cls + (text ? ` "${text}"` : "");
	};
	const union = (rects) => {
		let l = Infinity, t = Infinity, r = -Infinity, b = -Infinity;
		for (const x of rects) if (x.width && x.height) { l = Math.min(l, x.left); t = Math.min(t, x.top); r = Math.max(r, x.right); b = Math.max(b, x.bottom); }
		return { left: l, top: t, right: r, bottom: b, width: r - l, height: b - t };
	};

	// Whether something around e cuts off what is too wide.
	const within = (e) => {
		for (let p = e.parentElement; p && p !== document.body; p = p.parentElement) {
			if (getComputedStyle(p).overflowX !== "visible") return true;
		}
		return false;
	};

	// Sideways scroll of the page, and what sticks out.
	const wide = () => {
		const room = document.documentElement.clientWidth, out = [];
		if (document.documentElement.scrollWidth > room) out.push(`the page is ${document.documentElement.scrollWidth} px wide in ${room}`);
		else return out;
		for (const e of document.body.querySelectorAll("*")) {
			const r = e.getBoundingClientRect();
			if (shown(e) && r.width && r.right > room + 1 && !hiddenFromSight(e) && !within(e)) out.push(`${name(e)} reaches ${Math.round(r.right)}`);
			if (out.length > 6) break;
		}
		return out;
	};

	// A link in the run of a sentence may be as high as its line (WCAG 2.5.8).
	const inSentence = (e) => {
		if (e.tagName !== "A" || getComputedStyle(e).display !== "inline") return false;
		for (const n of e.parentElement.childNodes) {
			if (n.nodeType === 3 && /\p{L}{2}/u.test(n.data)) return true;
		}
		return false;
	};

	// Things to press that are smaller than they should be.
	const targets = (high, broad) => {
		const out = [];
		for (const e of document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [tabindex='0']")) {
			if (!shown(e) || hiddenFromSight(e) || inSentence(e)) continue;
			const rects = [...e.getClientRects()];
			for (const l of e.labels ?? []) if (/^(checkbox|radio)$/.test(e.type) && shown(l) && !hiddenFromSight(l)) rects.push(...l.getClientRects());
			const r = union(rects);
			if (r.height < high - 0.5 || r.width < broad - 0.5) out.push(`${name(e)} is ${Math.round(r.width)} × ${Math.round(r.height)} px, wanted ${broad} × ${high}`);
		}
		return out.length > 4 ? [...out.slice(0, 3), `and ${out.length - 3} more too small to press`] : out;
	};

	// Buttons that lie nearer to each other than they should. Rows of a list touch.
	const gaps = (least) => {
		const all = [...document.querySelectorAll("button, a.button, summary")].filter((e) => shown(e) && !hiddenFromSight(e)).map((e) => ({ e, r: e.getBoundingClientRect() })), out = [];
		for (let i = 0; i < all.length; i++) for (let k = i + 1; k < all.length; k++) {
			const a = all[i].r, b = all[k].r;
			const x = Math.max(a.left, b.left) - Math.min(a.right, b.right), y = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
			if (Math.max(x, y) < least - 0.5) out.push(`${name(all[i].e)} and ${name(all[k].e)} are ${Math.round(Math.max(x, y))} px apart, wanted ${least}`);
		}
		return out.length > 4 ? [...out.slice(0, 3), `and ${out.length - 3} more too near`] : out;
	};

	// What is of no use on paper, and is on it all the same.
	const pressed = () => [...document.querySelectorAll("nav, body > footer, button, a.button, .skip, details:not([open]) > summary")].filter((e) => shown(e) && !hiddenFromSight(e)).map((e) => `${name(e)} is on paper`).slice(0, 5);

	// Bars that stay in sight while the page moves under them.
	const floats = (e) => {
		for (let p = e; p && p !== document.body; p = p.parentElement) {
			if (/sticky|fixed/.test(getComputedStyle(p).position) || p.tagName === "THEAD") return true;
		}
		return false;
	};

	// Text that is cut off, or lies over other text.
	const crowded = () => {
		const out = [], boxes = [];
		for (const e of document.body.querySelectorAll("*")) {
			if (e.closest("svg") || !shown(e) || hiddenFromSight(e)) continue;
			const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim());
			const s = getComputedStyle(e);
			if (own && /hidden|clip/.test(s.overflowX + s.overflowY) && (e.scrollWidth > e.clientWidth + 2 || e.scrollHeight > e.clientHeight + 2)) out.push(`${name(e)} is cut off`);
			if (!own || floats(e)) continue;
			const range = document.createRange();
			for (const n of e.childNodes) if (n.nodeType === 3 && n.data.trim()) {
				range.selectNodeContents(n);
				for (const r of range.getClientRects()) if (r.width > 1 && r.height > 1) boxes.push({ e, r });
			}
		}
		boxes.sort((a, b) => a.r.top - b.r.top);
		for (let i = 0; i < boxes.length && out.length < 6; i++) {
			for (let k = i + 1; k < boxes.length && boxes[k].r.top < boxes[i].r.bottom - 4; k++) {
				const a = boxes[i], b = boxes[k];
				if (a.e === b.e || a.e.contains(b.e) || b.e.contains(a.e)) continue;
				const x = Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left), y = Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top);
				const least = 0.4 * Math.min(a.r.height, b.r.height); // lines may touch, not lie on each other
				if (x > 3 && y > least) out.push(`${name(a.e)} and ${name(b.e)} lie on each other`);
			}
		}
		return out;
	};

	// What has the focus, and whether one sees that it has.
	const focus = () => {
		const e = document.activeElement;
		if (!e || e === document.body || e === document.documentElement) return null;
		const s = getComputedStyle(e), rects = [...e.getClientRects()];
		for (const l of e.labels ?? []) rects.push(...l.getClientRects());
		const r = union([...e.getClientRects()].length ? [...e.getClientRects()] : rects);
		const x = Math.min(Math.max((r.left + r.right) / 2, 1), innerWidth - 2), y = (r.top + r.bottom) / 2;
		const on = y >= 0 && y < innerHeight && x >= 0 && x < innerWidth;
		const top = on ? document.elementFromPoint(x, y) : null;
		return {
			name: name(e), main: e.matches(".main"), href: e.getAttribute("href") ?? "", id: e.id, field: e.getAttribute("name") ?? "",
			ring: s.outlineStyle !== "none" ? parseFloat(s.outlineWidth) : 0,
			seen: on && (!!top && (e.contains(top) || top.contains(e) || [...(e.labels ?? [])].some((l) => l.contains(top)))),
			where: `${Math.round(r.left)},${Math.round(r.top)}–${Math.round(r.right)},${Math.round(r.bottom)} of ${innerWidth} × ${innerHeight}`,
		};
	};

	// Of a long table the looks that can differ in colours only see the first rows:
	// all of them were seen in both sets of colours by the looks with all rules.
	const axeRun = async (rules) => {
		const only = rules ? { type: "rule", values: rules } : { type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] };
		const r = await axe.run(rules ? { include: [["html"]], exclude: [["tbody > tr:nth-child(n + 9)"]] } : document, { runOnly: only, resultTypes: ["violations"], iframes: false });
		return r.violations.map((v) => `${v.id}: ${v.help}: ` + v.nodes.slice(0, 4).map((n) => n.target.join(" ") + " (" + (n.any[0] ?? n.all[0] ?? n.none[0] ?? {}).message + ")").join("; ") + (v.nodes.length > 4 ? ` and ${v.nodes.length - 4} more` : ""));
	};

	const sheet = (css) => {
		const s = new CSSStyleSheet();
		s.replaceSync(css);
		document.adoptedStyleSheets = css ? [s] : [];
	};
	return { wide, targets, gaps, pressed, crowded, focus, axeRun, sheet };
})();
