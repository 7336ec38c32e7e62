// @ts-check
"use strict";
/* What the page turns to when it opens: the worst verdict that does not pass, else a view that explains the setup. */
const Opening = (() => {
  /** The worst verdict that does not pass; null where all pass.
   * @type {(verdicts: any[]) => any} */
  const worst = (verdicts) => verdicts.find((one) => one.status === "fail") || verdicts.find((one) => one.status === "warn") || null;

  /** The setup explained: chuck left, tailstock right, a quarter cut away so that jaws and part are seen cut through. */
  const EXPLAINED = { plane: "quarter", at: 0, flipped: false };

  /** The stage that explains a setup: its first operation.
   * @type {(stages: any[]) => any} */
  const stage = (stages) => stages.find((one) => one.sizes) || stages[0];

  return { worst, stage, EXPLAINED };
})();
