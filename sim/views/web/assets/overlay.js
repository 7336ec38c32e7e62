// @ts-check
"use strict";
/* Lines and words over the picture: the cutting path, the closest pair, grip per jaw, measures, the frame's axes. */
const Overlay = (() => {
  const NS = "http://www.w3.org/2000/svg";

  function create(svg) {
    let view = null; // {matrix, width, height}
    const cards = []; // words that are to be placed
    let taken = []; // [left, top, right, bottom] of what no card should cover

    function add(name, attributes, parent = svg) {
      const made = document.createElementNS(NS, name);
      for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
      parent.appendChild(made);
      return made;
    }
    const at = (point) => Camera.projected(view.matrix, point, view.width, view.height);
    const round = (v) => Math.round(v * 10) / 10;

    function line(a, b, kind) {
      const p = at(a), q = at(b);
      if (p.seen && q.seen) add("line", { x1: round(p.x), y1: round(p.y), x2: round(q.x), y2: round(q.y), class: kind });
    }

    const HEAD = 15; // pixels of an arrow's head along it

    /** An arrow along points, its head at the last of them; `wide`: pixels of its shaft. */
    function arrow(points, kind, wide = 5) {
      const seen = points.map(at);
      if (!seen.every((p) => p.seen)) return;
      const tip = seen[seen.length - 1];
      // The head stands across the way on which its last pixels come in.
      let k = seen.length - 2;
      while (k > 0 && Math.hypot(tip.x - seen[k].x, tip.y - seen[k].y) < HEAD) k -= 1;
      const long = Math.hypot(tip.x - seen[k].x, tip.y - seen[k].y) || 1, dx = (tip.x - seen[k].x) / long, dy = (tip.y - seen[k].y) / long;
      const head = HEAD + wide, half = 0.32 * head + 0.5 * wide, neck = { x: tip.x - head * dx, y: tip.y - head * dy };
      const shaft = [...seen.slice(0, k + 1), ...(long > head ? [neck] : [])];
      const d = shaft.map((p, n) => `${n ? "L" : "M"}${round(p.x)} ${round(p.y)}`).join("");
      if (shaft.length > 1) { add("path", { d, class: `arrow halo ${kind}`, "stroke-width": wide + 3 }); add("path", { d, class: `arrow ${kind}`, "stroke-width": wide }); }
      const corners = [[tip.x, tip.y], [neck.x - half * dy, neck.y + half * dx], [neck.x + half * dy, neck.y - half * dx]];
      add("polygon", { points: corners.map((p) => p.map(round).join(",")).join(" "), class: `arrow ${kind}` });
      const xs = seen.map((p) => p.x), ys = seen.map((p) => p.y);
      taken.push([Math.min(...xs) - wide, Math.min(...ys) - wide, Math.max(...xs) + wide, Math.max(...ys) + wide]);
    }

    /** A closed line through points, which no card should cover. */
    function ring(points, kind) {
      const seen = points.map(at);
      if (!seen.every((p) => p.seen)) return;
      seen.forEach((p, n) => {
        const q = seen[(n + 1) % seen.length];
        taken.push([Math.min(p.x, q.x) - 3, Math.min(p.y, q.y) - 3, Math.max(p.x, q.x) + 3, Math.max(p.y, q.y) + 3]);
      });
      add("path", { d: `${seen.map((p, n) => `${n ? "L" : "M"}${round(p.x)} ${round(p.y)}`).join("")}Z`, class: kind });
    }

    /** No card should cover what lies between places of the picture. */
    function keep(places) {
      const xs = places.map((p) => p.x), ys = places.map((p) => p.y);
      if (places.every((p) => p.seen)) taken.push([Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)]);
    }

    function dot(point, kind, radius = 4) {
      const p = at(point);
      if (!p.seen) return;
      add("circle", { cx: round(p.x), cy: round(p.y), r: radius, class: kind });
      taken.push([p.x - radius - 2, p.y - radius - 2, p.x + radius + 2, p.y + radius + 2]);
    }

    const STEP = 16; // pixels between places that are tried where none of the wanted ones is free
    const ASTRAY = 70, BESIDE = 8; // pixels from its place that a card of an arrow may stand, and without a line to it

    /** All places of a card in the picture that are no farther from a point, the nearest first.
     * @type {(p: {x: number, y: number}, width: number, height: number, farthest: number) => number[][]} */
    function around(p, width, height, farthest) {
      const found = [];
      for (let y = 4; y < view.height - height; y += STEP) for (let x = 4; x < view.width - width; x += STEP) found.push([x, y]);
      const away = (/** @type {number[]} */ [x, y]) => Math.hypot(Math.max(x - p.x, 0, p.x - x - width), Math.max(y - p.y, 0, p.y - y - height));
      return found.map((at_) => ({ at_, away: away(at_) })).filter((one) => one.away <= farthest).sort((a, b) => a.away - b.away).map((one) => one.at_);
    }

    /** Where a card of a size stands best: the first of the wanted places that covers nothing, else what covers least. */
    /** @type {(p: {x: number, y: number}, away: number[], width: number, height: number, farthest: number) => {x: number, y: number, covered: number}} */
    function room(p, away, width, height, farthest) {
      const [dx, dy] = away, right = width + Math.abs(dx), up = height + Math.abs(dy);
      const [here, there] = dx < 0 ? [-right, -dx] : [dx, -right]; // its wanted side of the point, and the other
      const wanted = dx === 0 && dy === 0 ? [[0, 0], [0, up + 3], [0, -up - 3], [right + 3, 0], [-right - 3, 0], [right, up], [-right, up]]
        : [[here, dy - height], [here, -dy], [there, dy - height], [there, -dy], [here, -2 * up - 6], [here, up + 6], [there, -2 * up - 6], [there, up + 6],
          [3 * dx, -3 * up], [3 * dx, 2 * up], [-2 * right, -up], [right, -up]];
      let best = { x: p.x, y: p.y, covered: Infinity };
      const tried = (/** @type {number} */ left, /** @type {number} */ top) => {
        const x = Math.max(4, Math.min(view.width - width - 4, left)), y = Math.max(4, Math.min(view.height - height - 4, top));
        const covered = taken.reduce((sum, [a, b, c, d]) =>
          sum + Math.max(0, Math.min(x + width, c) - Math.max(x, a)) * Math.max(0, Math.min(y + height, d) - Math.max(y, b)), 0);
        if (covered < best.covered - 1) best = { x, y, covered };
        return !covered;
      };
      if (!wanted.some(([ox, oy]) => tried(p.x + ox, p.y + oy))) around(p, width, height, farthest).some(([x, y]) => tried(x, y));
      taken.push([best.x, best.y, best.x + width, best.y + height]);
      return best;
    }

    /** Words on a card beside a point, kept inside the picture; several lines. They are placed at the end, all at once. */
    function words(point, lines, kind, away = [14, -14]) {
      const p = Array.isArray(point) ? at(point) : { ...point, seen: true };
      if (!p.seen) return;
      const group = add("g", { class: `card ${kind}` });
      const box = add("rect", { rx: 4 }, group);
      const text = add("text", {}, group);
      lines.forEach((words_, k) => { add("tspan", { x: 0, dy: k ? "1.3em" : 0 }, text).textContent = words_; });
      cards.push({ p, kind, away, group, box, text });
    }

    /** Place all cards where they cover nothing. They are measured together: each by itself has the browser lay out the page anew. */
    function end() {
      const sizes = cards.map(({ text }) => text.getBBox());
      cards.splice(0).forEach((card, k) => placed(card, sizes[k]));
    }

    function placed({ p, kind, away, group, box, text }, size) {
      const width = size.width + 16, height = size.height + 10;
      const own = kind.startsWith("grip"), { x, y } = room(p, away, width, height, own ? ASTRAY : Infinity);
      // A card beside its arrow needs no line to it; one that had to give way does, or it is taken for another jaw's.
      if (!own || Math.hypot(Math.max(x - p.x, 0, p.x - x - width), Math.max(y - p.y, 0, p.y - y - height)) > BESIDE) {
        group.insertBefore(add("line", { x1: round(p.x), y1: round(p.y), x2: round(Math.max(x, Math.min(p.x, x + width))),
          y2: round(Math.max(y, Math.min(p.y, y + height))), class: "lead" }, group), box);
      }
      box.setAttribute("x", round(x));
      box.setAttribute("y", round(y));
      box.setAttribute("width", round(width));
      box.setAttribute("height", round(height));
      text.setAttribute("transform", `translate(${round(x + 8 - size.x)} ${round(y + 5 - size.y)})`);
    }

    function path(track, gone) {
      const { points, move, rapid } = track;
      const lines = { feed: "", "feed done": "", rapid: "" };
      let pen = null;
      for (let k = 0; k + 1 < points.length / 2; k += 1) {
        const number = move[k + 1];
        const name = rapid[number] ? "rapid" : track.gone[k + 1] <= gone ? "feed done" : "feed";
        const p = at([points[2 * k], 0, points[2 * k + 1]]), q = at([points[2 * k + 2], 0, points[2 * k + 3]]);
        if (!p.seen || !q.seen) { pen = null; continue; }
        lines[name] += `${pen === name ? "" : `M${round(p.x)} ${round(p.y)}`}L${round(q.x)} ${round(q.y)}`;
        pen = name;
      }
      for (const [name, d] of Object.entries(lines)) if (d) add("path", { d, class: `path ${name}` });
    }

    /** `kept`: places of the picture that no card should cover, [left, top, right, bottom]. */
    function begin(matrix, width, height, kept) {
      view = { matrix, width, height };
      taken = [...kept, [0, height - 104, 104, height]];
      svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
      svg.replaceChildren();
    }

    return { begin, end, line, ring, arrow, dot, keep, words, path, at };
  }

  return { create };
})();
