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

  /** Draw corners in mm (null: not to be read). `held`: {r, z} of what the pocket covers, or null; `chosen`: a corner;
   * `turned`: whether it is a half section with its axis. Returns what is not drawn, in words.
   * @type {(root: SVGElement, corners: (Shaped | null)[], options?: {held?: {r: number, z: number} | null, chosen?: number, turned?: boolean, name?: string}) => string} */
  function draw(root, corners, { held = null, chosen = -1, turned = true, name = "outline" } = {}) {
    const shaped = /** @type {Shaped[]} */ (corners.filter((corner) => corner)), known = shaped.map((corner) => corner.at);
    root.replaceChildren();
    root.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
    const missing = corners.map((corner, k) => (corner ? 0 : k + 1)).filter((k) => k);
    const said = known.length < 3 ? "An outline has at least three corners." : missing.length ? `Corner ${missing.join(", ")} is no length yet: the drawing leaves it out.` : "";
    root.setAttribute("aria-label", `${name}, ${known.length} corners${said ? `. ${said}` : ""}`);
    if (known.length < 2) return said;
    const { start, ways } = Outline.drawn(shaped), reached = known.concat(ways.flatMap((way, k) => bulge(k ? ways[k - 1].to : start, way)));
    const zs = reached.map((corner) => corner[1]), rs = reached.map((corner) => corner[0]);
    const low = Math.min(...zs), high = Math.max(...zs), top = Math.max(...rs), bottom = turned ? 0 : Math.min(...rs);
    const scale = Math.min((WIDE - 2 * EDGE) / Math.max(high - low, 1e-6), (HIGH - 2 * EDGE) / Math.max(top - bottom, 1e-6));
    const x = (z) => EDGE + ((WIDE - 2 * EDGE) - scale * (high - low)) / 2 + scale * (z - low), y = (r) => HIGH - EDGE - scale * (r - bottom);
    const at = (/** @type {number[]} */ [r, z]) => `${x(z).toFixed(2)} ${y(r).toFixed(2)}`;
    // Up is r and right is z: a turn from r towards z goes with the clock.
    const d = `M ${at(start)} ${ways.map(({ to, radius, turn }) => (radius ? `A ${scale * radius} ${scale * radius} 0 ${Math.abs(turn) > Math.PI ? 1 : 0} ${turn > 0 ? 1 : 0} ${at(to)}` : `L ${at(to)}`)).join(" ")} Z`;
    const clip = `clip-${Math.random().toString(36).slice(2)}`, shape = made("path", { d });
    const hatch = made("g", { class: "hatch", "clip-path": `url(#${clip})` });
    for (let k = -HIGH; k < WIDE; k += 9) hatch.append(made("line", { x1: k, y1: HIGH, x2: k + HIGH, y2: 0 }));
    const cut = made("clipPath", { id: clip });
    cut.append(shape);
    root.append(cut, made("path", { d, class: missing.length ? "metal open" : "metal" }), hatch, made("path", { d, class: "outline" }));
    if (turned) root.append(made("line", { x1: 4, x2: WIDE - 4, y1: y(0), y2: y(0), class: "axis" }), made("text", { x: 4, y: y(0) + 14 }, "chuck side"));
    if (held) {
      root.append(made("rect", { x: x(0), y: y(held.r) - 7, width: Math.max(0, scale * held.z), height: 6, class: "held" }),
        made("text", { x: x(0) + (scale * held.z) / 2, y: y(held.r) + 14, class: "heldtext", "text-anchor": "middle" }, `in the jaws ${held.z.toFixed(1)}`));
    }
    /** @type {number[][]} */
    const named = []; // where a number stands already; of corners close by, as on an arc, only the first has one
    corners.forEach((corner, k) => {
      if (!corner) return;
      const [r, z] = corner.at, place = { cx: x(z), cy: y(r) };
      root.append(made("circle", { ...place, r: k === chosen ? 6 : 3.5, class: k === chosen ? "corner chosen" : "corner" }));
      if (k !== chosen && named.some(([a, b]) => Math.hypot(a - place.cx, b - place.cy) < 12)) return;
      named.push([place.cx, place.cy]);
      // Off the metal: to the side on which the outline's middle is not.
      const left = z < (low + high) / 2, up = r > (top + Math.min(...rs)) / 2;
      root.append(made("text", { x: place.cx + (left ? -8 : 8), y: place.cy + (up ? -6 : 15), "text-anchor": left ? "end" : "start", class: k === chosen ? "chosen" : "" }, String(k + 1)));
    });
    const size = turned ? `Ø ${+(2 * top).toFixed(3)} × ${+(high - low).toFixed(3)} mm` : `${+(top - bottom).toFixed(3)} × ${+(high - low).toFixed(3)} mm`;
    root.append(made("text", { x: WIDE - 4, y: 13, "text-anchor": "end" }, size));
    return said;
  }

  /** How far an arc reaches beyond its ends along both axes: points on it, none for a line.
   * @type {(from: number[], way: Way) => number[][]} */
  function bulge(from, { to, radius, turn }) {
    if (!radius) return [];
    const [r0, z0] = from, [r1, z1] = to;
    const way = Math.hypot(r1 - r0, z1 - z0), off = (Math.sign(turn) * radius * Math.cos(turn / 2)) / way;
    const r = (r0 + r1) / 2 - off * (z1 - z0), z = (z0 + z1) / 2 + off * (r1 - r0), first = Math.atan2(z0 - z, r0 - r);
    return [0, 1, 2, 3].map((quarter) => (quarter * Math.PI) / 2)
      .filter((angle) => ((((angle - first) * Math.sign(turn)) % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI) < Math.abs(turn))
      .map((angle) => [r + radius * Math.cos(angle), z + radius * Math.sin(angle)]);
  }

  return { draw };
})();
