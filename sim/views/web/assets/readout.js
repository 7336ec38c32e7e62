// @ts-check
"use strict";
/* Plots that answer to the pointer: a line at the pointer and the values of every curve there. */
const Readout = (() => {
  const NS = "http://www.w3.org/2000/svg";

  function value(series, x) {
    const { xs, ys } = series;
    if (!xs.length || x < xs[0] - 1e-9 || x > xs[xs.length - 1] + 1e-9) return null;
    let k = 1;
    while (k < xs.length - 1 && xs[k] < x) k += 1;
    if (series.steps) return Math.abs(xs[k - 1] - x) < Math.abs(xs[k] - x) ? ys[k - 1] : ys[k];
    if (ys[k - 1] === null || ys[k] === null) return null;
    const span = xs[k] - xs[k - 1];
    return ys[k - 1] + (span ? (x - xs[k - 1]) / span : 0) * (ys[k] - ys[k - 1]);
  }

  /** The value of a map at a place, with its unit. */
  function value2(map, x, y) {
    const rows = map.values.length, columns = map.values[0].length;
    const share = (v, range) => Math.max(0, Math.min(1, (v - range[0]) / (range[1] - range[0])));
    const v = map.values[Math.round(share(y, map.y) * (rows - 1))][Math.round(share(x, map.x) * (columns - 1))];
    return `${rounded(v)} ${map.unit}`.trim();
  }

  const rounded = (v) => (Math.abs(v) >= 100 ? v.toFixed(0) : Math.abs(v) >= 10 ? v.toFixed(1) : v.toFixed(2));

  /** Give a figure its read-out. `axes`: left, right, top, bottom as shares, x and y limits, the curves. */
  function attach(figure, axes) {
    const svg = figure.querySelector("svg");
    const out = document.createElement("output");
    out.className = "readout";
    out.textContent = "Point at the plot, or move along it with the arrow keys, to read values.";
    figure.insertBefore(out, figure.querySelector("figcaption"));
    const box = svg.viewBox.baseVal;
    const line = document.createElementNS(NS, "line");
    line.setAttribute("class", "pointer");
    svg.appendChild(line);
    let index = 0, x = null, y = null;

    function show(panel, at, up = null) {
      const a = axes[panel];
      index = panel;
      x = Math.max(a.x[0], Math.min(a.x[1], a.steps ? Math.round(at) : at));
      if (a.map) y = up === null ? (y === null ? (a.map.y[0] + a.map.y[1]) / 2 : y) : up;
      const px = box.x + box.width * (a.left + (a.right - a.left) * (x - a.x[0]) / (a.x[1] - a.x[0]));
      for (const [key, v] of [["x1", px], ["x2", px], ["y1", box.y + box.height * a.top], ["y2", box.y + box.height * a.bottom]]) line.setAttribute(key, v);
      const mapped = a.map && value2(a.map, x, y);
      const found = a.series.map((s) => [s.name, value(s, x), s.notes && s.notes[Math.round(x) - 1]]).filter((pair) => pair[1] !== null);
      out.textContent = `${a.title ? `${a.title}: ` : ""}${a.across} ${rounded(x)}${found.length || mapped ? "; " : ""}${mapped ? `${a.map.up.replace(/, mm$/, "")} ${rounded(y)}: ${mapped}` : ""}${found.map(([n, v, note]) => `${n} ${rounded(v)}${note ? ` (${note})` : ""}`).join(", ")}`;
    }

    svg.addEventListener("pointermove", (event) => {
      const area = svg.getBoundingClientRect();
      const sx = (event.clientX - area.left) / area.width, sy = (event.clientY - area.top) / area.height;
      const panel = axes.findIndex((a) => sx >= a.left - 0.01 && sx <= a.right + 0.01 && sy >= a.top - 0.02 && sy <= a.bottom + 0.02);
      if (panel < 0) return;
      const a = axes[panel];
      show(panel, a.x[0] + (a.x[1] - a.x[0]) * (sx - a.left) / (a.right - a.left),
        a.y[0] + (a.y[1] - a.y[0]) * (a.bottom - sy) / (a.bottom - a.top));
    });
    svg.setAttribute("tabindex", "0");
    svg.addEventListener("keydown", (event) => {
      const steps = { ArrowLeft: -1, ArrowRight: 1, PageDown: -10, PageUp: 10 };
      if (!(event.key in steps)) return;
      event.preventDefault();
      const a = axes[index];
      const step = a.steps ? 1 : (a.x[1] - a.x[0]) / 100;
      show(index, (x === null ? a.x[0] : x) + step * steps[event.key]);
    });
    return { show: (at) => show(0, at), axes };
  }

  /** Give every plot under an element its read-out. */
  function attachAll(root) {
    return [...root.querySelectorAll("figure[data-readout]")].map((figure) => attach(figure, JSON.parse(figure.dataset.readout)));
  }

  return { attach, attachAll, value };
})();
