// @ts-check
"use strict";
/* The picture and what is written over it: drawn when something has changed, refined when nothing does. */
const Frame = (() => {
  const QUIET = 140; // ms without a change before the picture is refined
  const BARRED = 833, BAR = 180; // pixels of width from which on the bar of pressures stands beside what is shown, and that it takes
  const TOPPED = 700, TOP = 52; // pixels of width from which on the place of a section keeps a row of its own, and its height
  const TURN = 260; // ms of a turn to another view

  /** `answered()` tells whether all that was asked has come.
   * @type {(root: any, s: Shown, answered: (fully: boolean) => boolean) => any} */
  function create(root, s, answered) {
    const part = (name) => root.querySelector(`[data-part="${name}"]`);
    const canvas = part("canvas"), overlay = Overlay.create(part("overlay"));
    const still = window.matchMedia("(prefers-reduced-motion: reduce)");
    const plain = /^#plain\b/.test(window.location.hash); // leaves the refined picture out, for a slow computer
    const waiting = [], after = [];
    let painter = null, frame = 0, refining = 0, moving = null, blind = null;

    function makePainter() {
      try { painter = Painter.create(canvas); } catch (error) { console.warn(String(error)); }
      root.classList.toggle("flat", !painter);
      document.documentElement.classList.add(painter ? "drawn" : "undrawn");
    }

    const style = (name) => getComputedStyle(root).getPropertyValue(name).trim();
    const colour = (name) => Scene.linear(style(name));

    /** Everything that the painter needs. What is near comes first, so that what it hides costs nothing. */
    function picture() {
      const items = Setting.drawn(s);
      const { centre, radius } = Scene.extent(s.scene, items);
      const eye = Camera.eye(s.view);
      /** @type {(item: Item) => number} */
      const away = (item) => {
        if (item.pressure !== undefined || item.lines) return 0;
        const [low, high] = s.scene.shapes[item.geometry].box;
        return Linear.length(Linear.sub(Linear.moved(item.matrix, Linear.mix(low, high, 0.5)), eye));
      };
      return {
        items: items.map((item) => ({ item, mm: away(item) })).sort((a, b) => a.mm - b.mm).map((one) => one.item),
        cut: Scene.plane(s.section), also: Scene.second(s.section), centre, radius: radius * 1.02, ground: colour("--scene"), hatchInk: colour("--hatch"),
        edgeInk: colour("--edge"), markInk: colour("--need"), edges: 0.5, lit: Number(style("--lit")) || 1,
        hatchStep: 22 * Math.tan(s.view.angle / 2) * s.view.distance / canvas.clientHeight,
        pressureScale: Setting.scale(s), bare: s.range ? s.range.bare : 0, yields: s.stage.yield_MPa || 0,
      };
    }

    /** Pixels of the picture at its finest. */
    function fineness() {
      const ratio = Math.min(window.devicePixelRatio || 1, 2);
      return [canvas.clientWidth, canvas.clientHeight].map((long) => Math.max(1, Math.round(long * ratio)));
    }

    function draw() {
      if (!frame && s.scene) frame = requestAnimationFrame(render);
    }

    function render() {
      frame = 0;
      clearTimeout(refining);
      refining = 0;
      if (painter && painter.busy()) { draw(); return; }
      if (moving) {
        const share = Math.min(1, (performance.now() - moving.start) / TURN);
        s.view = share < 1 ? Camera.between(moving.from, moving.to, share) : moving.to;
        if (share >= 1) moving = null;
        draw();
      }
      if (!canvas.clientWidth || !canvas.clientHeight) return;
      const one = picture();
      reshape();
      if (painter) painter.quick(one, s.view, ...fineness());
      annotate(one);
      if (painter && !plain && !moving && !s.playing) refining = setTimeout(() => refine(one), QUIET);
      if (!moving) setTimeout(tell); // what was written may have left the picture another size, of which a frame's end tells
    }

    /** Hand the painter the part as it gives way, where that is new. */
    function reshape() {
      if (!painter || !s.shaped || !s.shaped.fresh || s.shaped.scene !== s.scene) return;
      painter.put(Shape.NAME, s.scene.shapes[Shape.NAME]);
      s.shaped.fresh = false;
    }

    /** Add pictures to the settled one, each when the one before is done. */
    function refine(one) {
      refining = 0;
      if (frame) return;
      if (painter.busy()) refining = setTimeout(() => refine(one), 4);
      else if (painter.refine(one, s.view, ...fineness())) refining = setTimeout(() => refine(one), 0);
      else tell();
    }

    /** Wake those who wait for a settled picture: not before what is asked of it is drawn. */
    function tell() {
      const drawn = !frame && !moving && answered(false), settled = drawn && !refining && answered(true);
      for (const one of waiting.splice(0)) {
        if (one.fully ? settled : drawn) one.done(); else waiting.push(one);
      }
    }
    const settled = (fully = true) => new Promise((done) => { waiting.push({ done, fully }); requestAnimationFrame(() => setTimeout(tell)); });

    /** Where controls and the bar of pressures lie over the picture: [left, top, right, bottom]. */
    function kept() {
      const { left, top } = part("view").getBoundingClientRect();
      const over = ["views", "scale", "section-more", "measure-box", "mistake", "trouble", "materials"].map(part);
      return [...over, ...root.querySelectorAll(".sectiongrip")].filter((one) => !one.hidden).map((one) => {
        const box = (one.open ? one.lastElementChild : one).getBoundingClientRect();
        return [box.left - left - 4, box.top - top - 4, box.right - left + 4, box.bottom - top + 4];
      });
    }

    function annotate(one) {
      const width = canvas.clientWidth, height = canvas.clientHeight;
      const camera = Camera.matrices(s.view, width / height, one.centre, one.radius);
      overlay.begin(camera.matrix, width, height, kept());
      const lines = Marks.draw(overlay, {
        ...s, kinds: Grip.kinds(s), values: Setting.now(s), figures: Setting.own(s), level: Validity.figures(s).level, about: about(), gripped: Setting.gripped(s), items: one.items, trace: Shape.trace(s), released: s.shape.released, cut: one.cut, also: one.also, width, height, axes: camera.axes,
      });
      overlay.end();
      const list = part("measures");
      if (list.dataset.text !== lines.join("|")) {
        list.dataset.text = lines.join("|");
        list.replaceChildren(...lines.map((line) => Controls.element("li", {}, line)));
      }
      part("measure-box").hidden = !s.measures.length && !s.measuring;
      part("measure-hint").textContent = !s.measuring ? "" : s.first ? "Second point: click, or press Enter."
        : "First point: click, or turn it under the cross and press Enter.";
      part("cross").hidden = !s.measuring;
      for (const tell of after) tell(camera, width, height);
    }

    /** The words on the verdict that was chosen, as they are now. */
    function about() {
      if (!s.about) return null;
      const { list, level } = Validity.verdicts(s);
      const found = list.find((verdict) => verdict.key === s.about.key && verdict.stage === s.about.stage);
      if (!found) return null;
      const word = level === "current" ? `${found.symbol} ${found.name}: ${found.word}` : `${Summary.SIGNS[level]} ${found.name}: ${Summary.WORDS[level]}`;
      return { ...s.about, lines: [word, `${level === "current" ? "" : "before: "}${Units.text(found.value)}, ${Units.text(found.limit)}`] };
    }

    const aspect = () => canvas.clientWidth / Math.max(1, canvas.clientHeight);

    /** Look from elsewhere: at once, or by a short turn. */
    function turn(to) {
      if (still.matches || !painter || document.hidden) { s.view = to; moving = null; } else moving = { from: s.view, to, start: performance.now() };
      draw();
    }

    /** Pixels at the right that the bar of pressures takes of a wide picture: what is looked at lies beside it. */
    const barred = () => (canvas.clientWidth >= BARRED && s.stage.touches && !s.shape.released ? BAR : 0);

    /** Pixels at the top of a wide picture that the section's place takes. */
    const topped = () => (canvas.clientWidth >= TOPPED && !part("section-more").hidden ? TOP : 0);

    /** The same look with its middle in what bar and section leave. */
    function beside(view) {
      const height = Math.max(1, canvas.clientHeight);
      return Camera.panned(view, -barred() / 2 / height, topped() / 2 / height);
    }

    /** Look from a place, with what is looked at in the middle; never from so far away that all of it would be seen larger. */
    function near(to) {
      const all = whole(to);
      if (all.distance < to.distance) fit(to); else turn(beside(to));
    }

    function whole(direction) {
      const list = Setting.drawn(s).filter((item) => s.apart > 0 || item.body.group !== "tool");
      const share = 1 - topped() / Math.max(1, canvas.clientHeight);
      const free = aspect() * (1 - barred() / Math.max(1, canvas.clientWidth)) / share;
      const found = Camera.fitted({ ...s.view, ...direction }, [...Scene.extent(s.scene, list).corners, ...Marks.reach(s)], free, 0.86);
      return beside({ ...found, distance: found.distance / share });
    }

    /** Look so that all is seen, the tool left out unless it was pulled away; from where it is, or from a named direction. */
    function fit(direction = {}) {
      const to = whole(direction);
      blind = Setting.own(s) ? null : to;
      turn(to);
    }

    /** Fit once more what was fitted before its grip was known, unless somebody looks from elsewhere since: the arrows belong in the picture. */
    function refit() {
      if (!blind || !Setting.own(s)) return;
      const { yaw, pitch } = blind, same = (moving ? moving.to : s.view) === blind;
      blind = null;
      if (same) fit({ yaw, pitch });
    }

    /** What lies under a place of the picture, pixels from its top left: `point` snapped to what is near, `place` as it was hit. */
    function pick(x, y) {
      const width = canvas.clientWidth, height = canvas.clientHeight;
      const items = Setting.drawn(s);
      const found = Picking.hit(s.scene, items, Camera.ray(s.view, x, y, width, height), Scene.plane(s.section), Scene.second(s.section));
      if (!found) return null;
      const { centre, radius } = Scene.extent(s.scene, items);
      const { matrix } = Camera.matrices(s.view, width / height, centre, radius);
      return { ...found, place: Picking.onWall(found), point: Picking.snapped(found, matrix, x, y, width, height, s.section.plane ? [] : s.scene.shapes[found.item.geometry].edges) };
    }

    /** Which place of which coloured face lies under a place of the picture, within half a millimetre of `t` along its ray. */
    function face(x, y, t) {
      const ray = Camera.ray(s.view, x, y, canvas.clientWidth, canvas.clientHeight);
      return Picking.facePlace(s.scene, Setting.drawn(s), ray, t);
    }

    /** Which place of which coloured face lies at the angle and the height of a point. */
    function pressing([x, y, z]) {
      return Picking.facePlace(s.scene, Setting.drawn(s), { from: [0, 0, z], along: Linear.unit([x, y, 0]) }, s.stage.gripped_radius_mm);
    }

    /** Where a point is seen, in pixels of the picture. */
    function seen(point) {
      const one = picture(), { clientWidth: width, clientHeight: height } = canvas;
      const { matrix } = Camera.matrices(s.view, width / height, one.centre, one.radius);
      return Camera.projected(matrix, point, width, height);
    }

    function load() {
      if (!painter) return;
      painter.load(s.scene.shapes);
      painter.loadMap(s.scene.map);
    }

    function pressures(bands) {
      if (painter && bands) painter.loadPressures(Scene.floats(bands.MPa), bands.columns, bands.rows);
    }

    makePainter();
    new ResizeObserver(draw).observe(part("view"));
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => { makePainter(); load(); if (s.answer) pressures(s.answer.found.bands); draw(); });

    return {
      draw, settled, tell, turn, near, fit, refit, barred: () => barred() / Math.max(1, canvas.clientWidth), pick, face, pressing, seen, load, pressures, aspect,
      moved: (view) => { moving = null; s.view = view; draw(); },
      /** Have something told with each picture: its camera, width and height in pixels. */
      drawn: (tell) => { after.push(tell); },
      /** Whether the last picture asked for is drawn. */
      get idle() { return !frame && !(painter && painter.busy()); },
      get turning() { return Boolean(moving); },
      get middle() { return [canvas.clientWidth / 2, canvas.clientHeight / 2]; },
      get painter() { return painter; },
    };
  }

  return { create };
})();
