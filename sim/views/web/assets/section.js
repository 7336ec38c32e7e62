// @ts-check
"use strict";
/* The half section of an outline, drawn beside the fields while one types; corners are numbered as in the table. */
const Section = (() => {
  const SVG = "http://www.w3.org/2000/svg";
  const WIDE = 260, HIGH = 230, EDGE = 26;

  function made(name, attributes, words = "") {
    const found = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, String(value));
    if (words) found.textContent = words;
    return found;
  }

  /** Draw corners [r, z] in mm (null: not to be read). `held`: {r, z} of what the pocket covers, or null; `chosen`: a corner;
   * `turned`: whether it is a half section with its axis. Returns what is not drawn, in words.
   * @type {(root: SVGElement, corners: (number[] | null)[], options?: {held?: {r: number, z: number} | null, chosen?: number, turned?: boolean, name?: string}) => string} */
  function draw(root, corners, { held = null, chosen = -1, turned = true, name = "outline" } = {}) {
    const known = /** @type {number[][]} */ (corners.filter((corner) => corner));
    root.replaceChildren();
    root.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
    const missing = corners.map((corner, k) => (corner ? 0 : k + 1)).filter((k) => k);
    const said = known.length < 3 ? "An outline has at least three corners." : missing.length ? `Corner ${missing.join(", ")} is no length yet: the drawing leaves it out.` : "";
    root.setAttribute("aria-label", `${name}, ${known.length} corners${said ? `. ${said}` : ""}`);
    if (known.length < 2) return said;
    const zs = known.map((corner) => corner[1]), rs = known.map((corner) => corner[0]);
    const low = Math.min(...zs), high = Math.max(...zs), top = Math.max(...rs), bottom = turned ? 0 : Math.min(...rs);
    const scale = Math.min((WIDE - 2 * EDGE) / Math.max(high - low, 1e-6), (HIGH - 2 * EDGE) / Math.max(top - bottom, 1e-6));
    const x = (z) => EDGE + ((WIDE - 2 * EDGE) - scale * (high - low)) / 2 + scale * (z - low), y = (r) => HIGH - EDGE - scale * (r - bottom);
    const points = known.map(([r, z]) => `${x(z).toFixed(2)},${y(r).toFixed(2)}`).join(" ");
    const clip = `clip-${Math.random().toString(36).slice(2)}`, shape = made("polygon", { points });
    const hatch = made("g", { class: "hatch", "clip-path": `url(#${clip})` });
    for (let k = -HIGH; k < WIDE; k += 9) hatch.append(made("line", { x1: k, y1: HIGH, x2: k + HIGH, y2: 0 }));
    const cut = made("clipPath", { id: clip });
    cut.append(shape);
    root.append(cut, made("polygon", { points, class: missing.length ? "metal open" : "metal" }), hatch, made("polygon", { points, class: "outline" }));
    if (turned) root.append(made("line", { x1: 4, x2: WIDE - 4, y1: y(0), y2: y(0), class: "axis" }), made("text", { x: 4, y: y(0) + 14 }, "chuck side"));
    if (held) {
      root.append(made("rect", { x: x(0), y: y(held.r) - 7, width: Math.max(0, scale * held.z), height: 6, class: "held" }),
        made("text", { x: x(0) + (scale * held.z) / 2, y: y(held.r) + 14, class: "heldtext", "text-anchor": "middle" }, `in the jaws ${held.z.toFixed(1)}`));
    }
    /** @type {number[][]} */
    const named = []; // where a number stands already; of corners close by, as on an arc, only the first has one
    corners.forEach((corner, k) => {
      if (!corner) return;
      const [r, z] = corner, at = { cx: x(z), cy: y(r) };
      root.append(made("circle", { ...at, r: k === chosen ? 6 : 3.5, class: k === chosen ? "corner chosen" : "corner" }));
      if (k !== chosen && named.some(([a, b]) => Math.hypot(a - at.cx, b - at.cy) < 12)) return;
      named.push([at.cx, at.cy]);
      // Off the metal: to the side on which the outline's middle is not.
      const left = z < (low + high) / 2, up = r > (top + Math.min(...rs)) / 2;
      root.append(made("text", { x: at.cx + (left ? -8 : 8), y: at.cy + (up ? -6 : 15), "text-anchor": left ? "end" : "start", class: k === chosen ? "chosen" : "" }, String(k + 1)));
    });
    const size = turned ? `Ø ${+(2 * top).toFixed(3)} × ${+(high - low).toFixed(3)} mm` : `${+(top - bottom).toFixed(3)} × ${+(high - low).toFixed(3)} mm`;
    root.append(made("text", { x: WIDE - 4, y: 13, "text-anchor": "end" }, size));
    return said;
  }

  return { draw };
})();
