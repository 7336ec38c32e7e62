// @ts-check
"use strict";
/* Measures in metric or inch units. Inside the page everything is metric; only what is shown or typed changes. */
/** @typedef {[string, string, number, number, number]} Measure */
const Units = (() => {
  let system = "mm";

  /** Kind of measure: metric unit, inch unit, factor from metric to inch, decimals of each.
   * @type {Record<string, Measure>} */
  const KINDS = {
    length: ["mm", "in", 1 / 25.4, 2, 4],
    fine: ["µm", "µin", 1000 / 25.4, 1, 0],
    force: ["kN", "lbf", 1e3 / 4.4482216152605, 1, 0],
    pressure: ["bar", "psi", 14.503773773, 1, 0],
    stress: ["MPa", "ksi", 0.1450377377, 0, 2],
    torque: ["N m", "lbf ft", 1 / 1.3558179483, 0, 0],
    moment: ["kN m", "lbf ft", 1e3 / 1.3558179483, 2, 0],
    area: ["mm²", "in²", 1 / 645.16, 1, 4],
    speed: ["rev/min", "rev/min", 1, 0, 0],
    angle: ["deg", "deg", 1, 0, 0],
  };

  const inch = () => system === "inch";
  /** @type {(kind: string) => string} */
  const unit = (kind) => KINDS[kind][inch() ? 1 : 0];
  /** @type {(value: number, kind: string) => number} */
  const out = (value, kind) => (inch() ? value * KINDS[kind][2] : value);
  /** @type {(value: number, kind: string) => number} */
  const back = (value, kind) => (inch() ? value / KINDS[kind][2] : value);
  /** @type {(kind: string) => number} */
  const decimals = (kind) => KINDS[kind][inch() ? 4 : 3];

  /** @type {(value: number | null | undefined, kind: string, more?: number) => string} */
  function number(value, kind, more = 0) {
    if (value === null || value === undefined || !Number.isFinite(value)) return "–";
    return out(value, kind).toFixed(decimals(kind) + more).replace(/^-(0(\.0*)?)$/, "$1");
  }
  /** @type {(value: number | null | undefined, kind: string, more?: number) => string} */
  const shown = (value, kind, more = 0) => `${signed(number(value, kind, more))}\u00a0${unit(kind)}`;

  /** A number as it is read: with a minus sign, not a hyphen.
   * @type {(text_: string) => string} */
  const signed = (text_) => text_.replace(/^-/, "\u2212");

  /** Units as they stand in sentences; longer ones first.
   * @type {Record<string, string>} */
  const WORDS = { "kN m": "moment", "N m": "torque", "kN": "force", "mm²": "area", "mm2": "area", "mm": "length",
    "µm": "fine", "um": "fine", "MPa": "stress", "bar": "pressure" };
  const PATTERN = /(-?\d+(?:\.\d+)?)([\s\u00a0])(kN[\s\u00a0]m|N[\s\u00a0]m|kN|mm²|mm2|mm|µm|um|MPa|bar|N)(?![\w²])/g;

  /** A sentence with its measures in the units chosen.
   * @type {(sentence: string) => string} */
  function text(sentence) {
    if (!inch() || !sentence) return sentence;
    return sentence.replace(PATTERN, (_whole, digits, space, name) => {
      const plain = name.replace("\u00a0", " ");
      if (plain === "N") return `${(Number(digits) / 4.4482216152605).toFixed(0)}${space}lbf`;
      const kind = WORDS[plain];
      const places = (digits.split(".")[1] || "").length;
      const value = Number(digits) * KINDS[kind][2];
      // As many as keep apart what differs in the last metric place: a value beyond its limit stays beyond it.
      const wanted = Math.max(KINDS[kind][4] && Math.min(KINDS[kind][4], places + 1), Math.ceil(places - Math.log10(KINDS[kind][2])));
      return `${value.toFixed(wanted)}${space}${KINDS[kind][1]}`;
    });
  }

  return { choose: /** @type {(name: string) => void} */ ((name) => { system = name; }), get system() { return system; }, unit, out, back, decimals, number, signed, shown, text };
})();
