// @ts-check
"use strict";
/* The pressed faces unrolled, and the bar that their colours stand on, with what the jaws' colours mean. */
const Faces = (() => {
  const { element, renew, write } = Controls;
  const BEFORE = { current: "", preview: " ≈ preview", pending: " …", old: " before", none: "" };
  const WIDE = 168, HIGH = 60; // pixels of an unrolled face
  const LINE = 1.1; // half the width of an isoline, in those pixels

  const shown = new WeakMap(); // what the faces of a place were painted from

  /** Pressure (MPa) at a place of a face, linear between the middles of its bands. */
  function between(values, from, rows, columns, u, v) {
    const x = Math.max(0, Math.min(columns - 1, u * columns - 0.5)), y = Math.max(0, Math.min(rows - 1, v * rows - 0.5));
    const i = Math.min(columns - 2, Math.floor(x)), k = Math.min(rows - 2, Math.floor(y));
    if (columns < 2 || rows < 2) return values[from + Math.round(y) * columns + Math.round(x)];
    const a = x - i, b = y - k, at = (row, column) => values[from + row * columns + column];
    return (1 - b) * ((1 - a) * at(k, i) + a * at(k, i + 1)) + b * ((1 - a) * at(k + 1, i) + a * at(k + 1, i + 1));
  }

  function painted(map, values, from, bands, top, bare, yields) {
    const image = new ImageData(WIDE, HIGH), field = new Float32Array(WIDE * HIGH);
    for (let k = 0; k < field.length; k += 1) {
      const column = k % WIDE, row = HIGH - 1 - Math.floor(k / WIDE);
      field[k] = between(values, from, bands.rows, bands.columns, (column + 0.5) / WIDE, (row + 0.5) / HIGH);
    }
    for (let k = 0; k < field.length; k += 1) {
      const p = field[k], right = field[k % WIDE < WIDE - 1 ? k + 1 : k - 1], below = field[k + WIDE < field.length ? k + WIDE : k - WIDE];
      const slope = Math.hypot(right - p, below - p) || 1e-9, near = (level) => Math.abs(p - level) < LINE * slope;
      const step = Math.round(255 * Range.share(p, top)), striped = p > top && (k % WIDE + Math.floor(k / WIDE)) % 7 < 2;
      let shade = [map[3 * step], map[3 * step + 1], map[3 * step + 2], 255];
      if (striped) shade = [255, 255, 255, 255];
      if (p <= bare) shade = [0, 0, 0, 0];
      if (near(bare) && p > 0) shade = [34, 39, 45, 255];
      if (near(yields)) shade = [255, 138, 0, 255];
      image.data.set(shade, 4 * k);
    }
    return image;
  }

  /** The three faces, seen from the spindle axis (their mouth up), with the grip of each jaw. */
  function unrolled(root, s, level) {
    const figures = Setting.own(s), bands = figures && figures.bands;
    root.hidden = !bands;
    if (!bands) return;
    if (!root.children.length) {
      for (let jaw = 0; jaw < 3; jaw += 1) root.append(element("figure", {}, element("canvas", { role: "img", width: WIDE, height: HIGH }), element("figcaption", {})));
    }
    const values = Scene.floats(bands.MPa), top = Setting.scale(s), bare = Range.bare(values), kinds = Grip.kinds(s);
    const painted_ = shown.get(root), look = [bands, s.scene.map, top, s.stage.yield_MPa], fresh = !painted_ || look.some((one, k) => one !== painted_[k]);
    shown.set(root, look);
    [...root.children].forEach((figure, jaw) => {
      const canvas = figure.firstChild, grip = Units.shown(figures.grip_N[jaw] / 1000, "force");
      if (fresh) canvas.getContext("2d").putImageData(painted(s.scene.map, values, jaw * bands.rows * bands.columns, bands, top, bare, s.stage.yield_MPa), 0, 0);
      canvas.setAttribute("aria-label", `Pressure on the face of jaw ${jaw + 1}, unrolled, its mouth up`);
      write(figure.lastChild, `jaw ${jaw + 1}${BEFORE[level]}: ${grip}`);
      figure.lastChild.className = level === "current" && kinds[jaw] && kinds[jaw] !== "enough" ? "short" : "";
    });
  }

  /** Places (MPa) and words of the marks on the bar: even in colour, round in MPa; in ksi round steps.
   * @type {(top: number) => [number, string][]} */
  function ticks(top) {
    if (Units.system !== "inch") return [0, 0.05, 0.25, 0.5, 1].map((at) => [at * top, String(Number((at * top).toPrecision(3)))]);
    return [0, 0.05, 0.25, 0.5, 1].map((at) => [at * top, String(Number(Units.out(at * top, "stress").toPrecision(2)))]);
  }

  /** Whether the part is drawn released: no face and no jaw of the picture has a colour then. */
  const loose = (/** @type {Shown} */ s) => s.shape.released && Boolean(Shape.of(s));

  /** The bar of pressures beside the picture: its range, what is over it, the largest pressure now, the yield strength. */
  function bar(part, s, level) {
    const figures = Setting.gripped(s) ? Setting.own(s) : null, hidden = !(figures && figures.bands) || loose(s);
    part("scale").hidden = hidden;
    if (hidden) return;
    const top = Setting.scale(s), share = (value) => `${100 * Range.share(value, top)}%`, peak = figures.peak_MPa;
    renew(part("scale-ticks"), ...ticks(top).map(([value, words]) => {
      const tick = element("span", { class: "tick" }, words);
      tick.style.setProperty("--at", share(value));
      return tick;
    }));
    part("scale-over").hidden = peak <= top;
    write(part("scale-unit"), `contact pressure, ${Units.unit("stress")}`);
    write(part("scale-peak"), `largest${BEFORE[level]} ${Units.out(peak, "stress").toFixed(1)}${peak > top ? ", hatched" : ""}`);
    write(part("scale-note"), `means over 3° by 2 mm; yield ${Units.shown(s.stage.yield_MPa, "stress")}${peak > s.stage.yield_MPa ? ", orange line" : ""}`);
  }

  /** What the colours of the jaws mean, where they have one. */
  function legend(root, s) {
    const kinds = Grip.kinds(s), asked = s.stage.safety || 1.5;
    root.hidden = kinds.every((kind) => !kind) || loose(s);
    if (root.hidden) return;
    const words = { enough: `enough: ${asked} × what the cuts need, or more`, scarce: "scarce: less than that", "too little": "less than the cuts need, or not held" };
    renew(root, element("strong", {}, "Jaws by grip"), ...Object.entries(words).map(([kind, text]) => {
      const sign = element("i", { "aria-hidden": "true" });
      sign.style.background = Grip.colour(s, kind);
      return element("span", { class: kinds.some((one) => one === kind || (kind === "too little" && one === "not held")) ? "now" : "" }, sign, ` ${text}`);
    }));
  }

  return { unrolled, bar, legend, loose };
})();
