// @ts-check
"use strict";
/* The page's answer in one line: the badge, and the line over the list. Both are made of what `Validity` holds true. */
const Summary = (() => {
  const counted = ({ fail, warn, pass }) => `${fail} fail, ${warn} warn, ${pass} pass`;
  const notAsked = (s) => s.scene.data.not_judged.filter((one) => one.matters).length;

  /** A setup in which nothing fails or warns, but something that matters was not asked, passes what was asked: no more. */
  function says(s, status, counts) {
    const open = notAsked(s), word = s.scene.data.words.says[status === "warn" && !counts.warn ? "asked" : status];
    return `${s.scene.data.words.symbol[status]} ${word}: ${counted(counts)}${open ? `, ${open} not asked` : ""}`;
  }

  /** Pressure and highest speed of an operation in words. */
  const grip = ({ pressure_bar: pressure, speed_rpm: speed }) => `${Units.shown(pressure, "pressure")} and up to ${Units.shown(speed, "speed")}`;

  /** The pressures, speeds, bores and depths that the verdicts are judged at, or would be; the others are the scenario's. */
  function where(s) {
    const moved = Validity.gripping(s);
    return [bores(s), grips(s, moved)].filter((words) => words).join(", ");
  }

  function bores(s) {
    const moved = Validity.bores(s), deeper = Validity.depths(s);
    return Object.keys({ ...moved, ...deeper }).map((pocket) => {
      const names = s.scene.data.stages.filter((stage) => stage.sizes && stage.pocket === pocket).map((stage) => stage.name);
      const how = [];
      if (pocket in moved) how.push(`bored to ${Units.shown(moved[pocket], "length")}`);
      if (pocket in deeper) how.push(`turned ${Units.shown(deeper[pocket], "length")} deep`);
      return `pocket of ${names.join(" and ")} ${how.join(" and ")}`;
    }).join(", ");
  }

  function grips(s, moved) {
    return s.scene.data.stages.filter((stage) => moved[stage.key]).map((stage) => `${stage.name} at ${grip(moved[stage.key])}`).join(", ");
  }

  const unheld = (s) => { const { found, level } = Validity.figures(s); return Boolean(found) && level !== "pending" && found.gripped && !found.held; };

  /** Who states what was judged last. */
  const who = (s) => (Validity.typed(s) ? "the form states, not saved" : s.live ? "the file states" : "the scenario states");

  /** What that is, beside the state shown. */
  const beside = (s) => `${Validity.typed(s) ? "As typed, not saved" : s.live ? "As the file states" : "As stated"}: ${counted(s.scene.data.counts)}`;

  /** {kind, text, more}: the badge. It passes only where verdicts of the very state shown do and the part is held there. */
  function badge(s) {
    const { level, counts, status, stated, why } = Validity.verdicts(s);
    const more = stated && !["pending", "none", "preview"].includes(level) ? "" : beside(s);
    if (level === "old") return { kind: "none", text: `? Out of date: ${why}`, more: `Before: ${counted(stated ? s.scene.data.counts : counts)}` };
    if (unheld(s)) {
      const judged = level === "current" ? counted(counts) : level === "pending" ? "being judged" : "not judged";
      return { kind: "fail", text: `${s.scene.data.words.symbol.fail} Not held at the state shown: ${judged}`, more };
    }
    if (level === "preview") return { kind: "none", text: "≈ Preview, not judged", more };
    if (level === "pending") return { kind: "none", text: "… Being judged", more };
    if (level === "none") return { kind: "none", text: "? Not judged at the state shown", more };
    return { kind: status, text: `${says(s, status, counts)}${Validity.typed(s) ? " (typed, not saved)" : ""}`, more };
  }

  /** The grip that holds at a state, and at which speed. */
  function left(found) {
    const at = found.speed_rpm ? `at ${Units.shown(found.speed_rpm, "speed")}` : "at rest";
    if (!found.held) return `no grip that counts ${at}`;
    const share = Grip.counted(found);
    return `${Units.shown(share * found.total_N / 1000, "force")} ${share < 1 ? "count " : found.speed_rpm ? "left " : ""}${at}`;
  }

  /** {head, more, change}: what decides, in a sentence with its numbers, and what would mend it. Of a list that is not that
   * of the state shown it says so first. */
  function band(s, list, level) {
    const worst = Opening.worst(list), { found, level: own } = Validity.figures(s), { stage } = s;
    const grip = found && found.grip_N && found.gripped && own === "current"
      ? `${stage.name.charAt(0).toUpperCase()}${stage.name.slice(1)}: ${left(found)}; the cuts need ${Units.shown(found.needed_N / 1000, "force")}` : "";
    const before = level === "current" ? "" : level === "old" ? "Before: " : level === "pending" && !worst ? "" : "As stated: ";
    if (unheld(s)) {
      return { head: "The part is not held: it can fly.", more: grip || "No grip is left, or a jaw lets go.", change: "Change: less speed, or more pressure where it is allowed." };
    }
    if (grip && found.held && Grip.kinds(s).some((kind) => kind === "too little" || kind === "not held")) {
      return { head: `The part can fly. ${grip}.`, more: worst ? `${worst.name}, ${worst.stage}: ${Units.text(worst.value)}, ${Units.text(worst.limit)}` : "", change: worst && worst.advice ? `Change: ${Units.text(worst.advice)}` : "" };
    }
    if (worst) {
      const message = Units.text(worst.message);
      return { head: `${before}${message}`, more: `${worst.name}, ${worst.stage}: ${Units.text(worst.value)}, ${Units.text(worst.limit)}`, change: worst.advice ? `Change: ${Units.text(worst.advice)}` : "" };
    }
    const nearest = list[0];
    return { head: grip || "", more: nearest && level === "current" ? `Nearest to its limit: ${nearest.name}, ${nearest.stage}: ${Units.text(nearest.value)}, ${Units.text(nearest.limit)}` : "", change: "" };
  }

  /** Of what the list is, in a sentence; it ends with the counts where they hold. */
  function line(s) {
    const { level, counts, stated, why } = Validity.verdicts(s), at = where(s);
    const source = who(s);
    if (level === "old") return `Out of date: ${why}. These are the verdicts of before, ${at && !stated ? at : "as the file then stated"}.`;
    if (level === "preview") return `Preview, not judged: ${at}. These are the verdicts as ${source}; the changed pocket is judged when its slider rests.`;
    if (level === "pending") return `Being judged, ${at} … Until then these are the verdicts as ${source}.`;
    if (level === "none") return `Not judged: ${at}. These are the verdicts as ${source}; ${why}.`;
    const shown = Setting.now(s), judged = Validity.gripping(s)[s.stage.key] || s.stage.values;
    const other = s.stage.sizes && Validity.MOVED.some((key) => Math.abs(shown[key] - judged[key]) > 1e-9)
      ? ` The scene shows ${Units.shown(shown.pressure_bar, "pressure")}, ${Units.shown(shown.speed_rpm, "speed")}.` : "";
    const drawn = Validity.bored(s) ? " The scene draws the pockets as the file states them." : "";
    if (stated) return `As ${source}, each at its own worst speed, size and angle.${other}`;
    return `Judged: ${at}: ${counted(counts)}. ${beside(s)}.${other}${drawn}`;
  }

  /** Words of a page's title and of a verdict's mark for what does not hold of the state shown. */
  const WORDS = { preview: "not judged", old: "out of date", pending: "judging", none: "not judged" };
  const SIGNS = { preview: "≈", old: "?", pending: "…", none: "?" };

  return { badge, band, line, where, WORDS, SIGNS };
})();
