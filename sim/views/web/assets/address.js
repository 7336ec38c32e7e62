// @ts-check
"use strict";
/* The state of the page behind the # of its address, so that a copied or kept address shows it again: the step of the work,
   every slider that stands elsewhere than stated, section, shape, bodies, eye, units, light. What is judged there is asked anew.
   Pressure and speed may only be shown, as those at which a verdict was judged ('900 seen'), or shown beside another that was
   set ('900 set 700'): only what was set is judged. Numbers are written to their last digit: jaws that just touch still do. */
/** @typedef {{stage: string, values: Record<string, Record<string, number>>, moved: Record<string, Record<string, number>>,
 *   section: {plane: string, at: number, flipped: boolean} | null, apart: number, shape: {by: number, released: boolean} | null,
 *   looks: Record<string, Record<string, string>>, marked: string[], about: string, eye: number[] | null, units: string, light: string, flags: string[]}} Kept
 *   moved: pressures and speeds that were set; about: step and key of the verdict that is pointed at;
 *   eye: focus in mm, distance in mm, yaw, pitch and from top to bottom of the picture in rad */
const Address = (() => {
  const FLAGS = ["plain", "edit"]; // words that an address may begin with
  const QUIET = 400; // ms without a change before the address follows
  const LOOKS = ["glass", "hidden"];

  /** @type {(kept: Kept) => string} */
  function written(kept) {
    const words = new URLSearchParams();
    if (kept.stage) words.set("stage", kept.stage);
    for (const [stage, values] of Object.entries(kept.values)) {
      for (const [key, value] of Object.entries(values)) {
        const set = (kept.moved[stage] || {})[key];
        const how = !Validity.MOVED.includes(key) || set === value ? "" : set === undefined ? " seen" : ` set ${set}`;
        words.set(`${stage}:${key}`, `${value}${how}`);
      }
    }
    if (kept.section) words.set("section", `${kept.section.plane || "none"} ${kept.section.at}${kept.section.flipped ? " other" : ""}`);
    if (kept.apart) words.set("apart", String(kept.apart));
    if (kept.shape) words.set("shape", `${Shape.STOPS[kept.shape.by]}${kept.shape.released ? " released" : ""}`);
    for (const [stage, looks] of Object.entries(kept.looks)) {
      for (const [group, look] of Object.entries(looks)) words.append(look, `${stage}:${group}`);
    }
    for (const group of kept.marked) words.append("marked", group);
    if (kept.about) words.set("about", kept.about);
    if (kept.eye) words.set("eye", kept.eye.join(" "));
    if (kept.units) words.set("units", kept.units);
    if (kept.light) words.set("light", kept.light);
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
    /** @type {Record<string, Record<string, number>>} */
    const moved = {};
    /** @type {Record<string, Record<string, string>>} */
    const looks = {};
    for (const [name, said] of words) {
      const split = name.lastIndexOf(":"), stage = name.slice(0, split), key = name.slice(split + 1);
      const [shown, how, set] = said.split(" "), [value] = numbers(shown, 1) || [NaN];
      if (split < 1 || !Number.isFinite(value)) continue;
      const pressed = Validity.MOVED.includes(key), [own] = how === "set" ? numbers(set, 1) || [NaN] : [how === undefined ? value : NaN];
      if (how !== undefined && !(pressed && (how === "seen" || Number.isFinite(own)))) continue;
      values[stage] = { ...values[stage], [key]: value };
      if (pressed && Number.isFinite(own)) moved[stage] = { ...moved[stage], [key]: own };
    }
    for (const look of LOOKS) {
      for (const said of words.getAll(look)) {
        const split = said.indexOf(":"), stage = said.slice(0, split);
        if (split > 0) looks[stage] = { ...looks[stage], [said.slice(split + 1)]: look };
      }
    }
    const [plane, at, other] = (words.get("section") || "").split(" ");
    const section = (Object.hasOwn(Scene.NORMALS, plane) || plane === "none") && at !== undefined && Number.isFinite(Number(at)) ? { plane: plane === "none" ? "" : plane, at: Number(at), flipped: other === "other" } : null;
    const [apart] = numbers(words.get("apart"), 1) || [0];
    const [times, loose] = (words.get("shape") || "").split(" "), [by] = numbers(times, 1) || [0], light = words.get("light") || "";
    return {
      stage: words.get("stage") || "", values, moved, section, apart: Math.max(0, Math.min(1, apart)),
      shape: by >= 1 ? { by: Shape.step(by), released: loose === "released" } : null, looks, marked: words.getAll("marked"), about: words.get("about") || "",
      eye: numbers(words.get("eye"), 7) || numbers(words.get("eye"), 6), units: words.get("units") === "inch" ? "inch" : "",
      light: ["light", "dark"].includes(light) ? light : "", flags,
    };
  }

  /** The state shown, as an address keeps it: of sliders those that stand elsewhere than stated. `light`: as it was chosen, if it was.
   * @type {(s: any, flags: string[], light?: string) => Kept} */
  function of(s, flags, light = "") {
    /** @type {Record<string, Record<string, number>>} */
    const values = {};
    /** @type {Record<string, Record<string, number>>} */
    const moved = {};
    /** @type {Record<string, Record<string, string>>} */
    const looks = {};
    for (const stage of s.scene.data.stages) {
      const set = Object.entries(s.moved[stage.key] || {}).filter(([key, value]) => Validity.MOVED.includes(key) && value !== stage.values[key]);
      if (set.length) moved[stage.key] = Object.fromEntries(set);
      const away = Object.entries(s.values[stage.key]).filter(([key, value]) => typeof value === "number" && (value !== stage.values[key] || key in (moved[stage.key] || {})));
      if (away.length) values[stage.key] = Object.fromEntries(away);
      const other = Object.entries(s.looks[stage.key] || {}).filter(([, look]) => LOOKS.includes(look));
      if (other.length) looks[stage.key] = Object.fromEntries(other);
    }
    const { focus, distance, yaw, pitch, angle } = s.view;
    return {
      stage: s.stage.key, values, moved, section: s.section, apart: s.apart, shape: s.shape.by || s.shape.released ? s.shape : null, looks, marked: s.marked,
      about: s.about ? `${s.about.stage}:${s.about.key}` : "", eye: [...focus, distance, yaw, pitch, angle],
      units: Units.system === "inch" ? "inch" : "", light, flags,
    };
  }

  /** Values of an address that a stage's sliders can take.
   * @type {(stage: any, wanted: Record<string, number>) => [string, number][]} */
  function allowed(stage, wanted) {
    return Object.entries(wanted).filter(([key, value]) => {
      const range = key === "spindle_angle_rad" ? [0, 2 * Math.PI] : stage.ranges[key], stops = (stage.stops || {})[key];
      if ((stage.fixed || {})[key]) return false;
      if (key === "gripped_diameter_mm") return Boolean(stage.sizes) && Object.values(stage.sizes).includes(value);
      if (key === "side_force_N") return value === 0 || value === stage.side_force_N;
      return Boolean(range) && value >= range[0] && value <= range[1] && (!stops || stops.some((/** @type {number} */ stop) => Math.abs(stop - value) < 1e-9));
    });
  }

  /** Where the sliders of all steps stand at an address: {values, moved}. Pockets first, since steps share them.
   * @type {(s: any, wanted: Kept) => {values: Record<string, any>, moved: Record<string, any>}} */
  function placed(s, wanted) {
    const { stages } = s.scene.data, all = (/** @type {(stage: any) => any} */ one) => Object.fromEntries(stages.map((/** @type {any} */ stage) => [stage.key, one(stage)]));
    const found = { scene: s.scene, values: all((stage) => ({ ...stage.values })), moved: all(() => ({})) };
    const allowed_ = all((stage) => allowed(stage, wanted.values[stage.key] || {}));
    for (const stage of stages) {
      for (const [key, value] of allowed_[stage.key]) if (Validity.POCKET.includes(key)) Setting.bore(found, stage.pocket, key, value);
    }
    for (const stage of stages) {
      found.values[stage.key].travel_mm = stage.values.travel_mm;
      Object.assign(found.values[stage.key], Object.fromEntries(allowed_[stage.key]));
      Object.assign(found.moved[stage.key], Object.fromEntries(allowed(stage, wanted.moved[stage.key] || {})));
    }
    return { values: found.values, moved: found.moved };
  }

  /** Groups of bodies that are not plainly shown, stage by stage; what the setup does not have is left out. */
  function seen(s, wanted) {
    return Object.fromEntries(s.scene.data.stages.map((/** @type {any} */ { key }) =>
      [key, Object.fromEntries(Object.entries(wanted.looks[key] || {}).filter(([group]) => s.scene.groups.includes(group)))]));
  }

  /** Follow the page in its address. `act`: setStage(key), taken(values, moved), units(name), light(name),
   * enlarge(by, released), about(name), look(view). */
  function attach(s, frame, act) {
    const wanted = read(window.location.hash);
    let waiting = 0;

    function restore() {
      // Nothing of what the page turned to by itself is left: what an address does not name stands as stated.
      const { values, moved } = placed(s, wanted);
      Object.assign(s, { looks: seen(s, wanted), marked: wanted.marked.filter((group) => s.scene.groups.includes(group)), section: wanted.section || s.section, apart: wanted.apart });
      act.taken(values, moved);
      if (wanted.units) act.units(wanted.units);
      if (wanted.light) act.light(wanted.light);
      act.setStage(s.scene.stages[wanted.stage] ? wanted.stage : s.stage.key);
      const { by, released } = wanted.shape || { by: 0, released: false };
      act.enlarge(by, released);
      if (wanted.about) act.about(wanted.about);
      if (wanted.eye) {
        const [x, y, z, distance, yaw, pitch, angle] = wanted.eye, first = Camera.first();
        const near = Camera.zoomed({ ...first, focus: [x, y, z], distance, yaw, pitch: 0, angle: angle > 0.01 && angle < 3.1 ? angle : first.angle }, 1);
        act.look(Camera.orbited(near, 0, pitch));
      }
    }

    frame.drawn(() => {
      clearTimeout(waiting);
      waiting = setTimeout(() => {
        if (s.playing || !s.scene) return;
        const text = `#${written(of(s, wanted.flags, document.documentElement.dataset.theme))}`;
        if (text !== window.location.hash) window.history.replaceState(null, "", text);
      }, QUIET);
    });
    if (wanted.stage || wanted.eye || Object.keys(wanted.values).length) restore();
  }

  return { attach, read, written, of, allowed, placed };
})();
