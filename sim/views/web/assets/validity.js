// @ts-check
"use strict";
/* For which state each thing on the page holds. The one place that says so: badge, list, labels and colours ask here.

   Figures belong to one scene, stage, set of slider values, bores and depths; verdicts to one scene and to the pressures,
   speeds, bores and depths that were moved (each verdict looks for its own worst speed below that, size of the part and angle). Levels:
   "current": of the state shown; "preview": of the state shown, but foreseen between pockets that are computed, and nothing is
   judged of it; "pending": asked for, what is shown meanwhile is of a state before;
   "old": of the state shown, but of a file that has changed since or may have; "none": not to be had. */
const Validity = (() => {
  const MOVED = ["pressure_bar", "speed_rpm"]; // what verdicts depend on
  const sorted = (values) => Object.entries(values).sort(([a], [b]) => (a < b ? -1 : 1));

  /** What figures are asked for now. */
  const figuresKey = (s) => JSON.stringify([s.scene.data.version, s.stage.key, sorted(Setting.now(s)), sorted(bores(s)), sorted(depths(s))]);

  /** Pressure and highest speed of each operation where the user has moved one of them off the scenario's. */
  function gripping(s) {
    const found = {};
    for (const stage of s.scene.data.stages) {
      const moved = s.moved[stage.key] || {};
      const all = Object.fromEntries(MOVED.map((key) => [key, key in moved ? moved[key] : stage.values[key]]));
      if (stage.sizes && MOVED.some((key) => all[key] !== stage.values[key])) found[stage.key] = all;
    }
    return found;
  }

  /** Sizes of the pockets that are not the scenario's, by their numbers. */
  function pockets(s, key) {
    const found = {};
    for (const stage of s.scene.data.stages) {
      const size = (s.moved[stage.key] || {})[key];
      if (size !== undefined && size !== stage.values[key]) found[stage.pocket] = size;
    }
    return found;
  }

  const POCKET = ["bore_mm", "depth_mm"]; // sizes of a pocket, which all operations that grip in it share
  const bores = (s) => pockets(s, "bore_mm"), depths = (s) => pockets(s, "depth_mm");
  const bored = (s) => POCKET.some((key) => Object.keys(pockets(s, key)).length > 0);
  const asStated = (s) => !Object.keys(gripping(s)).length && !bored(s);
  const verdictsKey = (s) => JSON.stringify([s.scene.data.version, gripping(s), sorted(bores(s)), sorted(depths(s))]);

  /** Why all that is shown may no longer be that of the file; "" where it is. */
  function doubt(s) {
    const { file } = s;
    if (!file) return ""; // a page on its own: it is of the file that it was written from
    if (file.lost) return "the program behind this page cannot be reached";
    if (file.typing || (file.wanted !== null && file.wanted !== file.revision)) return "what you have typed is not judged yet";
    if (file.judging && file.revision) return "what you have typed is being judged";
    if (file.mistake && file.revision) return "what is typed has a mistake";
    if (file.judging && file.wanted !== null) return "the file as it is saved is being judged"; // also where all that was typed is undone
    if (file.judging) return "the file has been saved and is being judged"; // whether a mistake of before is mended will be told
    if (file.mistake) return "the file has a mistake";
    if (file.version !== s.scene.data.version) return "the file has been saved and judged anew, and the page has not loaded it yet";
    return "";
  }

  /** Whether what is shown is of what is typed, and not of the file as it is saved. */
  const typed = (s) => Boolean(s.file && s.file.revision);

  /** {level, found, why}: figures of the state shown, or of the one before while they are on their way, or null. */
  function figures(s) {
    const key = figuresKey(s), got = s.answer, why = doubt(s);
    if (got && got.key === key) return { level: why ? "old" : got.found.preview ? "preview" : "current", found: got.found, why };
    if (s.refused && s.refused.key === key) return { level: "none", found: null, why: s.refused.words };
    if (s.late || (s.file && s.file.lost)) return { level: "none", found: null, why: why || (bored(s) ? "the jaws with this pocket are being computed" : "the program gives no answer") };
    const near = got && got.found.stage === s.stage.key && got.version === s.scene.data.version;
    return { level: "pending", found: near ? got.found : null, why: "being computed" };
  }

  /** {level, list, counts, status, stated, why}: `stated` says that the list is that of the scenario as it stands. */
  function verdicts(s) {
    const { data } = s.scene, why = doubt(s), key = verdictsKey(s);
    const file = { list: data.verdicts, counts: data.counts, status: data.status, stated: true };
    if (asStated(s)) return { ...file, level: why ? "old" : "current", why };
    if (s.judged && s.judged.key === key) {
      const { verdicts: list, counts, status } = s.judged;
      return { list, counts, status, stated: false, level: why ? "old" : "current", why };
    }
    if (why) return { ...file, level: "old", why };
    if (s.unjudged && s.unjudged.key === key) return { ...file, level: "none", why: s.unjudged.words };
    // What is foreseen is not judged; what is worked out is, when the sliders rest.
    const refused = s.refused && s.refused.key === figuresKey(s);
    if (bored(s) && !refused && figures(s).level !== "current") return { ...file, level: "preview", why: "a preview is not judged" };
    return s.live ? { ...file, level: "pending", why: "being judged" }
      : { ...file, level: "none", why: "this file holds verdicts of the scenario as stated only" };
  }

  return { MOVED, POCKET, figuresKey, verdictsKey, gripping, bores, depths, bored, asStated, typed, doubt, figures, verdicts };
})();
