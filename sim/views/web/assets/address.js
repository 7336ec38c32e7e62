// @ts-check
"use strict";
/* The state of the page behind the # of its address, so that a copied or kept address shows it again: the step of the work,
   every slider that stands elsewhere than stated, section, eye, units. What is judged there is asked anew. */
/** @typedef {{stage: string, values: Record<string, Record<string, number>>, section: {plane: string, at: number, flipped: boolean} | null,
 *   apart: number, eye: number[] | null, units: string, flags: string[]}} Kept eye: focus in mm, distance in mm, yaw and pitch in rad */
const Address = (() => {
  const FLAGS = ["plain", "edit"]; // words that an address may begin with
  const QUIET = 400; // ms without a change before the address follows

  const short = (/** @type {number} */ value) => String(Number(value.toPrecision(10)));

  /** @type {(kept: Kept) => string} */
  function written(kept) {
    const words = new URLSearchParams();
    if (kept.stage) words.set("stage", kept.stage);
    for (const [stage, values] of Object.entries(kept.values)) {
      for (const [key, value] of Object.entries(values)) words.set(`${stage}:${key}`, short(value));
    }
    if (kept.section) words.set("section", `${kept.section.plane || "none"} ${short(kept.section.at)}${kept.section.flipped ? " other" : ""}`);
    if (kept.apart) words.set("apart", short(kept.apart));
    if (kept.eye) words.set("eye", kept.eye.map(short).join(" "));
    if (kept.units) words.set("units", kept.units);
    return [...kept.flags, words.toString()].filter((one) => one).join("&");
  }

  const numbers = (/** @type {string | null} */ text, /** @type {number} */ count) => {
    const found = (text || "").split(" ").map(Number);
    return text && found.length === count && found.every(Number.isFinite) ? found : null;
  };

  /** What an address says; of what is not understood nothing is taken.
   * @type {(text: string) => Kept} */
  function read(text) {
    const parts = text.replace(/^#/, "").split("&"), flags = [];
    while (FLAGS.includes(parts[0])) flags.push(String(parts.shift()));
    const words = new URLSearchParams(parts.join("&"));
    /** @type {Record<string, Record<string, number>>} */
    const values = {};
    for (const [name, said] of words) {
      const split = name.lastIndexOf(":"), value = said === "" ? NaN : Number(said);
      if (split < 1 || !Number.isFinite(value)) continue;
      const stage = name.slice(0, split);
      values[stage] = { ...values[stage], [name.slice(split + 1)]: value };
    }
    const [plane, at, other] = (words.get("section") || "").split(" ");
    const section = (Object.hasOwn(Scene.NORMALS, plane) || plane === "none") && at !== undefined && Number.isFinite(Number(at)) ? { plane: plane === "none" ? "" : plane, at: Number(at), flipped: other === "other" } : null;
    const [apart] = numbers(words.get("apart"), 1) || [0];
    return {
      stage: words.get("stage") || "", values, section, apart: Math.max(0, Math.min(1, apart)), eye: numbers(words.get("eye"), 6),
      units: words.get("units") === "inch" ? "inch" : "", flags,
    };
  }

  /** The state shown, as an address keeps it: of sliders those that stand elsewhere than stated.
   * @type {(s: any, flags: string[]) => Kept} */
  function of(s, flags) {
    /** @type {Record<string, Record<string, number>>} */
    const values = {};
    for (const stage of s.scene.data.stages) {
      const moved = Object.entries(s.values[stage.key]).filter(([key, value]) => typeof value === "number" && value !== stage.values[key]);
      if (moved.length) values[stage.key] = Object.fromEntries(moved);
    }
    const { focus, distance, yaw, pitch } = s.view;
    return {
      stage: s.stage.key, values, section: s.section, apart: s.apart,
      eye: [...focus, distance, yaw, pitch], units: Units.system === "inch" ? "inch" : "", flags,
    };
  }

  /** Values of an address that a stage's sliders can take.
   * @type {(stage: any, wanted: Record<string, number>) => [string, number][]} */
  function allowed(stage, wanted) {
    return Object.entries(wanted).filter(([key, value]) => {
      const range = key === "spindle_angle_rad" ? [0, 2 * Math.PI] : stage.ranges[key], stops = (stage.stops || {})[key];
      if ((stage.fixed || {})[key]) return false;
      if (key === "gripped_diameter_mm") return Boolean(stage.sizes) && Object.values(stage.sizes).includes(value);
      if (key === "side_force_N") return value === stage.side_force_N;
      return Boolean(range) && value >= range[0] && value <= range[1] && (!stops || stops.some((/** @type {number} */ stop) => Math.abs(stop - value) < 1e-9));
    });
  }

  /** Follow the page in its address. `act`: setStage(key), change(key, value), units(name), cut(section), pull(apart), look(view). */
  function attach(s, frame, act) {
    const wanted = read(window.location.hash);
    let waiting = 0;

    function restore() {
      for (const stage of s.scene.data.stages) {
        const values = allowed(stage, wanted.values[stage.key] || {});
        if (!values.length) continue;
        act.setStage(stage.key);
        for (const [key, value] of values) act.change(key, value);
      }
      if (wanted.units) act.units(wanted.units);
      if (s.scene.stages[wanted.stage]) act.setStage(wanted.stage);
      if (wanted.section) act.cut(wanted.section);
      if (wanted.apart) act.pull(wanted.apart);
      if (wanted.eye) {
        const [x, y, z, distance, yaw, pitch] = wanted.eye;
        const near = Camera.zoomed({ ...Camera.first(), focus: [x, y, z], distance, yaw, pitch: 0 }, 1);
        act.look(Camera.orbited(near, 0, pitch));
      }
    }

    frame.drawn(() => {
      clearTimeout(waiting);
      waiting = setTimeout(() => {
        if (s.playing || !s.scene) return;
        const text = `#${written(of(s, wanted.flags))}`;
        if (text !== window.location.hash) window.history.replaceState(null, "", text);
      }, QUIET);
    });
    if (wanted.stage || wanted.eye || Object.keys(wanted.values).length) restore();
  }

  return { attach, read, written, of, allowed };
})();
