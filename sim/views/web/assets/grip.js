// @ts-check
"use strict";
/* What each jaw's grip is against what the cuts need: a word and a colour. It says no more than the figures of the state:
   where a verdict on the grip fails it is never called enough. */
const Grip = (() => {
  const KINDS = ["not held", "too little", "scarce", "enough"]; // worst first
  const ON_GRIP = ["holding_factor", "holding_factor_each_move", "spindle_speed", "least_grip_of_a_jaw", "grip_at_rest"];

  /** Kinds of the three jaws; null where nothing is gripped, or nothing holds of the state shown.
   * @type {(s: Shown) => (string | null)[]} */
  function kinds(s) {
    const { found, level } = Validity.figures(s), { stage } = s;
    if (!stage.touches || !found || !found.grip_N || !["current", "preview", "pending"].includes(level) || !Setting.gripped(s) || !found.gripped) return [null, null, null];
    if (!found.held) return ["not held", "not held", "not held"];
    const need = found.needed_N / 3, asked = stage.safety || 1.5, failing = fails(s), share = counted(found);
    return found.grip_N.map((/** @type {number} */ there) => {
      const grip = share * there;
      if (grip <= 0) return "not held";
      if (grip < need) return "too little";
      return grip < asked * need || failing ? "scarce" : "enough";
    });
  }

  /** Share of a state's grip that counts for holding, no unit: what jaws that press outward gain by speed does not.
   * @type {(found: any) => number} */
  const counted = (found) => (found.total_N > (1 + 1e-6) * found.rest_total_N ? found.rest_total_N / found.total_N : 1);

  /** Whether a verdict on the grip of this stage fails.
   * @type {(s: Shown) => boolean} */
  function fails(s) {
    const { list, level } = Validity.verdicts(s);
    return ["current", "pending"].includes(level) && list.some((/** @type {any} */ one) => one.status === "fail" && one.stage === s.stage.name && ON_GRIP.includes(one.key));
  }

  /** @type {(s: Shown, kind: string) => string} */
  const colour = (s, kind) => s.scene.data.colours[kind === "not held" ? "too little" : kind];

  /** Colours of the three jaws, '#rrggbb', or null: that of their metal.
   * @type {(s: Shown) => (string | null)[]} */
  const tints = (s) => kinds(s).map((kind) => kind && colour(s, kind));

  return { KINDS, kinds, tints, colour, counted };
})();
