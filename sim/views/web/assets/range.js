// @ts-check
"use strict";
/* The range that the colours of pressures stand for: it ends at what 95 % of the touching area keeps below, rounded up. The
   same as `sim/views/pressure_scale.py` for printed pictures. */
const Range = (() => {
  const SHARE = 0.95, BARE = 0.01;
  const ENDS = [1, 1.5, 2, 3, 4, 5, 6, 8, 10];

  /** The next figure that a range may end with.
   * @type {(value: number) => number} */
  function roundedUp(value) {
    if (!(value > 0)) return 1;
    const power = 10 ** Math.floor(Math.log10(value));
    return power * (ENDS.find((end) => end * power >= value * (1 - 1e-9)) || 10);
  }

  /** Below this (MPa) nothing touches that could be seen.
   * @type {(values: ArrayLike<number>) => number} */
  function bare(values) {
    let most = 0;
    for (let k = 0; k < values.length; k += 1) most = Math.max(most, values[k]);
    return BARE * most;
  }

  /** The end of the range, MPa, for the means of bands of one size.
   * @type {(values: ArrayLike<number>) => number} */
  function top(values) {
    const least = Math.max(bare(values), 1e-11);
    const touching = Float64Array.from(values).filter((value) => value > least).sort();
    return touching.length ? roundedUp(touching[Math.ceil(SHARE * touching.length) - 1]) : 1;
  }

  /** The share of the colours that a pressure stands at: its root.
   * @type {(value: number, end: number) => number} */
  const share = (value, end) => Math.sqrt(Math.max(0, Math.min(1, value / end)));

  return { roundedUp, bare, top, share };
})();
