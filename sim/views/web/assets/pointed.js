// @ts-check
"use strict";
/* What the pointer is on, in words: the body, its diameter and place there, and the pressure on a gripped face. */
const Pointed = (() => {
  const OFTEN = 70; // ms between two looks

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
    if (Shape.of(s)) return ""; // what is read off is read off the true shape
    const found = frame.pick(x, y);
    if (!found) return "";
    const { point } = found, { body } = found.item;
    const name = body.jaw === null || body.jaw === undefined ? body.kind : `${body.kind}, jaw ${body.jaw + 1}`;
    const at = [name, `Ø ${Units.shown(2 * Math.hypot(point[0], point[1]), "length")}`, `z ${Units.shown(point[2], "length")}`];
    const { found: own, level } = Validity.figures(s);
    const face = level === "current" && own && own.bands ? frame.face(x, y, found.t) : null;
    if (face) {
      const bands = { ...own.bands, MPa: Scene.floats(own.bands.MPa) };
      at.push(`pressure ${Units.shown(pressure(bands, face.jaw, face.around, face.along), "stress")}`);
    }
    return at.join(" · ");
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
    view.addEventListener("pointerleave", () => { at = null; say(""); });
    // What is said holds for the picture that it was read from.
    frame.drawn(() => { if (at && !waiting) waiting = setTimeout(look, OFTEN); else if (!at) say(""); });
  }

  return { attach, pressure };
})();
