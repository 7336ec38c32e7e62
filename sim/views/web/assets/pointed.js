// @ts-check
"use strict";
/* What the pointer is on, in words: the body, its diameter and place there, the pressure on a gripped face or the gap to the part,
   and how near a tool is. A finger says it by resting. */
const Pointed = (() => {
  const OFTEN = 70; // ms between two looks
  const FACE = 2; // mm by which the gap at a place of the face is larger than the least, at most
  const RESTS = 500, STRAYS = 8; // ms and pixels of a finger that rests

  /** Pressure of a face's bands at a place on it (0 to 1 around and along), MPa, as the picture colours it: straight between the
   * middles of strips, one value a band.
   * @type {(bands: {columns: number, rows: number, MPa: ArrayLike<number>}, jaw: number, around: number, along: number) => number} */
  function pressure(bands, jaw, around, along) {
    const row = jaw * bands.rows + Math.min(bands.rows - 1, Math.max(0, Math.floor(along * bands.rows)));
    const column = Math.min(bands.columns - 1, Math.max(0, Math.floor(around * bands.columns)));
    return bands.MPa[row * bands.columns + column];
  }

  /** Tell what lies under a place of the picture; empty where nothing does. */
  function words(s, frame, x, y) {
    const found = frame.pick(x, y);
    if (!found) return "";
    const { body } = found.item;
    const name = body.jaw === null || body.jaw === undefined ? body.kind : `${body.kind}, jaw ${body.jaw + 1}`;
    if (Shape.of(s)) return `${name} · drawn ${Shape.words(s)}: values are read at true size`;
    const { found: own, level } = Validity.figures(s), worth = level === "current" && own;
    const face = worth && own.bands ? frame.face(x, y, found.t) : null;
    const values = face ? [pressed(own, face)] : worth ? [...gap(s, own, body, found.place), ...under(s, own, frame, body, found.place)] : [];
    // A value holds for the place that was hit; without one the edge or circle nearby is what is meant.
    const point = values.length ? found.place : found.point;
    return [name, `Ø ${Units.shown(2 * Math.hypot(point[0], point[1]), "length")}`, `z ${Units.shown(point[2], "length")}`, ...values].join(" · ");
  }

  function pressed(own, face) {
    const found = pressure({ ...own.bands, MPa: Scene.floats(own.bands.MPa) }, face.jaw, face.around, face.along);
    return found > 0 ? `pressure ${Units.shown(found, "stress")}` : "no contact here";
  }

  /** What presses the part at the angle and height of a place on it: the part hides the face itself.
   * @type {(s: any, own: any, frame: any, body: any, point: Vector) => string[]} */
  function under(s, own, frame, body, point) {
    const [low, high] = s.stage.held_mm || [1, 0];
    if (body.kind !== "workpiece" || s.apart > 0 || !own.gripped || !own.bands || point[2] < low || point[2] > high || !(Math.hypot(point[0], point[1]) > 0)) return [];
    const face = frame.pressing(point);
    if (!face) return ["no jaw here"];
    return [`jaw ${face.jaw + 1}: ${pressed(own, face)}`];
  }

  /** How far it is from there: of an open jaw to the part, in radius; of the part to the nearest jaw; of a tool to what is nearest.
   * @type {(s: any, own: any, body: any, point: Vector) => string[]} */
  function gap(s, own, body, point) {
    if (s.apart > 0) return [];
    if (body.run !== null && body.run !== undefined) {
      const { path } = own;
      return path && path.distance_mm !== null && path.distance_mm !== undefined
        ? [path.distance_mm > 0 ? `gap ${Units.shown(path.distance_mm, "length")}, ${path.part} to ${path.body}` : `${path.part} touches ${path.body}`] : [];
    }
    const [low, high] = s.stage.held_mm || [1, 0];
    if (!s.stage.touches || own.gripped || point[2] < low || point[2] > high) return [];
    if (body.kind === "workpiece") return [`gap ${Units.shown(own.gap_mm, "length")} to the jaws`];
    if (body.kind !== "soft jaw") return [];
    const away = (Math.hypot(point[0], point[1]) - 0.5 * own.gripped_diameter_mm) * (s.scene.data.slide < 0 ? 1 : -1);
    return away > 0 && away < own.gap_mm + FACE ? [`gap ${Units.shown(away, "length")} to the part in radius`] : [];
  }

  function attach(view, s, frame) {
    const out = Controls.element("output", { class: "pointed", "aria-live": "off" });
    view.append(out);
    let last = 0, waiting = 0, at = null;
    const say = (text) => { out.textContent = text; out.hidden = !text; };
    say("");

    function look() {
      waiting = 0;
      last = performance.now();
      if (at && frame.idle && !s.playing) say(words(s, frame, at[0], at[1]));
    }
    view.addEventListener("pointermove", (event) => {
      const box = view.getBoundingClientRect();
      at = event.buttons || event.pointerType === "touch" || event.target.closest("button, select, input, label, details, svg.cube") ? null
        : [event.clientX - box.left, event.clientY - box.top];
      if (!at) { say(""); return; }
      if (!waiting) waiting = setTimeout(look, Math.max(0, OFTEN - (performance.now() - last)));
    });
    view.addEventListener("pointerleave", (event) => { if (event.pointerType !== "touch") { at = null; say(""); } });
    let rests = 0, start = null;
    const lifted = () => { clearTimeout(rests); start = null; };
    view.addEventListener("pointerdown", (event) => {
      if (event.pointerType !== "touch") return;
      const box = view.getBoundingClientRect(), alone = !start;
      lifted();
      at = null;
      say("");
      if (!alone || event.target.closest("button, select, input, label, details, svg.cube")) return;
      start = [event.clientX, event.clientY];
      rests = setTimeout(() => { at = [start[0] - box.left, start[1] - box.top]; look(); }, RESTS);
    });
    view.addEventListener("pointermove", (event) => {
      if (event.pointerType === "touch" && start && Math.hypot(event.clientX - start[0], event.clientY - start[1]) > STRAYS) { lifted(); at = null; }
    });
    for (const end of ["pointerup", "pointercancel"]) view.addEventListener(end, (event) => { if (event.pointerType === "touch") lifted(); });
    // What is said holds for the picture that it was read from.
    frame.drawn(() => { if (at && !waiting) waiting = setTimeout(look, OFTEN); else if (!at) say(""); });
  }

  return { attach, pressure };
})();
