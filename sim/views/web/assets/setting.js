// @ts-check
"use strict";
/* What is shown now: one plain object that the parts of the page share, and questions to it. */
/** @typedef {{lost: boolean, version: number, mistake: string, judging: boolean, revision: number, wanted: number | null, typing: boolean}} Told what the
 *   program says of the file, or (`revision` not 0) of what is typed; `wanted`: the revision that this page's forms show, if it has any;
 *   `typing`: something was typed that the program has not been told yet */
/** @typedef {{
 *   scene: any, stage: any, live: boolean, file: Told | null, answer: any, refused: {key: string, words: string} | null, late: boolean,
 *   judged: any, unjudged: {key: string, words: string} | null, values: Record<string, any>, moved: Record<string, any>,
 *   looks: Record<string, any>, marked: string[], about: any, view: View, section: {plane: string, at: number, flipped: boolean},
 *   apart: number, shape: {by: number, released: boolean}, shaped: any, sliding: boolean, range: any, measuring: boolean, first: Anchor | null, measures: Anchor[][], playing: boolean,
 * }} Shown scene and stage are there as soon as a scene is loaded */
const Setting = (() => {
  /** @type {() => Shown} */
  const create = () => ({
    scene: null, stage: null,
    live: false, // whether a program answers behind the page
    file: null, // of a live page only
    answer: null, refused: null, late: false, // figures that came, or why none did: see Validity
    judged: null, unjudged: null, // verdicts that came, or why none did
    values: {}, // of the sliders, stage by stage
    moved: {}, // pressures and highest speeds that the user has set, stage by stage
    looks: {}, // how groups of bodies are shown, stage by stage
    marked: [], // groups with heavier outlines
    about: null, // the place that a chosen verdict is about
    view: Camera.first(), section: { plane: "", at: 0, flipped: false }, apart: 0,
    shape: { by: 0, released: false }, shaped: null, // how many times the movement of part and jaws is drawn (a step of `Shape.STOPS`), and what is
    sliding: false, range: null, // whether a slider is held, and the range of the pressures' colours
    measuring: false, first: null, measures: [],
    playing: false,
  });

  const now = (s) => s.values[s.stage.key];

  /** The figures of this state, or of one just before while they are on their way. */
  const own = (s) => Validity.figures(s).found;

  /** Whether the jaws stand on the part; known at once, before the figures come. */
  function gripped(s) {
    if (!s.stage.touches) return false;
    return now(s).travel_mm >= Scene.touch(s.stage, now(s)) - 1e-9;
  }

  /** Bore a pocket otherwise, or deeper, in all stages that grip in it; jaws that stood on the part still do. */
  function bore(s, pocket, key, value) {
    for (const stage of s.scene.data.stages.filter((one) => one.sizes && one.pocket === pocket)) {
      const values = s.values[stage.key], before = Scene.touch(stage, values), at = values.travel_mm;
      values[key] = value;
      s.moved[stage.key] = { ...s.moved[stage.key], [key]: value };
      const touch = Scene.touch(stage, values);
      if (at >= before - 1e-9) values.travel_mm = at <= before + 1e-9 ? touch : Math.max(at, touch);
    }
  }

  /** The stage with the marks of its sliders where they stand now: the first touch moves with the bore. */
  function marked(s) {
    const { stage } = s;
    if (!stage.touches || !Object.keys(Validity.bores(s)).length) return stage;
    const touch = Scene.touch(stage, { ...now(s), gripped_diameter_mm: stage.sizes.middle });
    const [bored, [, name]] = stage.marks.travel_mm;
    return { ...stage, marks: { ...stage.marks, travel_mm: [bored, [touch, name]] } };
  }

  /** The upper end of the bar of pressures, MPa: that of the state, but kept while a slider is held. */
  function scale(s) {
    const found = own(s), kept = s.range;
    const known = kept && kept.stage === s.stage.key;
    if (!found || !found.bands) return known ? kept.top : 1;
    if (known && kept.of === found && (s.sliding || !kept.held)) return kept.top;
    const values = Scene.floats(found.bands.MPa), held = Boolean(known && s.sliding);
    s.range = { stage: s.stage.key, of: found, held, top: held ? kept.top : Range.top(values), bare: Range.bare(values) };
    return s.range.top;
  }

  function drawn(s) {
    const found = own(s), coloured = found && found.bands && gripped(s);
    const loose = s.shape.released && Shape.of(s), shown = { ...s.stage, face: coloured && !loose ? s.stage.face : null };
    return Shape.applied(s, Scene.items(s.scene, shown, now(s), { apart: s.apart, looks: s.looks[s.stage.key], marked: s.marked, tints: loose ? [] : Grip.tints(s), film: s.section.plane === "quarter", alone: s.section.plane === "part" ? "workpiece" : "" }));
  }

  /** Groups of bodies that this stage can show. */
  const present = (s) => s.scene.groups.filter((group) => s.scene.data.bodies.some((body) => body.group === group
    && (!body.stages.length || body.stages.includes(s.stage.key))));

  return { create, now, own, gripped, bore, marked, scale, drawn, present };
})();
