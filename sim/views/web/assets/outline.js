// @ts-check
"use strict";
/* Corners of an outline as they are typed: lengths in mm, diameters from radii and back without loss, corners broken or
   rounded, and the lines and arcs to draw. No document: what is drawn of it stands in `section.js`. */
/** @typedef {{sign: string, digits: bigint, places: number, unit: string}} Digits sign, digits of a whole number, how many of them are decimals, unit */
/** @typedef {{size: number, unit: number[]}} Edge how long, and its direction away from the corner */
/** @typedef {{at: number[], arc?: number, convex?: boolean, longer?: boolean, chamfer?: number, radius?: number}} Shaped a corner as it is stated, mm */
/** @typedef {{to: number[], radius: number, turn: number}} Way where a side ends, and its arc's radius and sense (+ from r towards z); 0, 0 for a line */
/** @typedef {{here: number[], one: Edge, other: Edge, turn: number}} Edges a corner, both edges, and the angle between them, rad */
const Outline = (() => {
  const OFF = 0.01; // mm that corners may lie off the arc that they stand for
  const BY_UNIT = { mm: 1, cm: 10, m: 1000, um: 0.001, in: 25.4 };
  /** Spellings of units that count as one of these.
   * @type {Record<string, keyof typeof BY_UNIT>} */
  const SPELT = { mm: "mm", cm: "cm", m: "m", um: "um", "µm": "um", "μm": "um", in: "in", inch: "in", inches: "in", '"': "in", "″": "in" };
  const FORM = /^\s*([+-]?)(?:(\d{1,3})[ -](?=\d+\/))?(?:(\d{1,3})\/(2|4|8|16|32|64|128)|(\d+(?:\.\d+)?|\.\d+))\s*(\S+)\s*$/;

  /** A length in its parts; null where it is none.
   * @type {(text: string) => Digits | null} */
  function parts(text) {
    const found = FORM.exec(text);
    if (!found || !(found[6] in SPELT) || (found[2] !== undefined && found[3] === undefined)) return null;
    const [, sign, whole, top, bottom, decimal, unit] = found;
    if (top === undefined) {
      const [before, after = ""] = decimal.split(".");
      return { sign, digits: BigInt(before + after), places: after.length, unit };
    }
    if (Number(top) >= Number(bottom) || SPELT[unit] !== "in") return null;
    // Halves to 128ths have at most seven decimals.
    return { sign, digits: BigInt(whole || 0) * 10n ** 7n + (BigInt(top) * 10n ** 7n) / BigInt(bottom), places: 7, unit };
  }

  /** @type {(length: Digits) => string} */
  function written({ sign, digits, places, unit }) {
    const all = digits.toString().padStart(places + 1, "0"), end = all.length - places;
    const decimals = all.slice(end).replace(/0+$/, "");
    return `${sign === "-" ? "-" : ""}${all.slice(0, end)}${decimals ? `.${decimals}` : ""} ${unit}`;
  }

  const SIGN = "Ø "; // before what was typed as a diameter and cannot be halved: no length, so the check refuses it

  /** The radius of a diameter, exactly. What is not understood here must not become a radius: it is marked, and refused.
   * @type {(text: string) => string} */
  function half(text) {
    const found = parts(text);
    return found ? written({ ...found, digits: found.digits * 5n, places: found.places + 1 }) : text.trim() ? SIGN + text : "";
  }

  /** The diameter of a radius, exactly; what was marked as it was typed, what is not understood named as a radius.
   * @type {(text: string) => string} */
  function twice(text) {
    const found = parts(text);
    if (found) return written({ ...found, digits: found.digits * 2n });
    return text.startsWith(SIGN) ? text.slice(SIGN.length) : text && `r = ${text}`;
  }

  /** A length in mm; null where the text is none.
   * @type {(text: unknown) => number | null} */
  function mm(text) {
    const found = typeof text === "string" ? parts(text) : null;
    if (!found) return null;
    return (found.sign === "-" ? -1 : 1) * (Number(found.digits) / 10 ** found.places) * BY_UNIT[SPELT[found.unit]];
  }

  /** A number of mm as it is written into a file.
   * @type {(value: number) => string} */
  const text = (value) => `${Number(value.toFixed(4))} mm`;

  /** Directions from a corner along both its edges, and how long they are; null where there is no corner.
   * @type {(points: number[][], k: number) => Edges | null} */
  function edges(points, k) {
    const here = points[k], before = points[(k + points.length - 1) % points.length], after = points[(k + 1) % points.length];
    const along = (/** @type {number[]} */ to) => { const d = [to[0] - here[0], to[1] - here[1]], size = Math.hypot(d[0], d[1]); return { size, unit: [d[0] / size, d[1] / size] }; };
    const one = along(before), other = along(after);
    const turn = one.size > 0 && other.size > 0 ? Math.acos(Math.max(-1, Math.min(1, one.unit[0] * other.unit[0] + one.unit[1] * other.unit[1]))) : 0;
    return turn > 1e-3 && turn < Math.PI - 1e-3 ? { here, one, other, turn } : null;
  }

  /** The corners in the place of one that is broken by legs of a size; an Error where they do not fit on its edges.
   * @type {(points: number[][], k: number, size: number) => number[][]} */
  function chamfer(points, k, size) {
    const found = edges(points, k);
    if (!found || !(size > 0)) throw new Error("there is no corner to break");
    fits(size, found);
    return [found.one, found.other].map(({ unit }) => [found.here[0] + size * unit[0], found.here[1] + size * unit[1]]);
  }

  /** The corners in the place of one that is rounded by a radius, none farther off the arc than `OFF`.
   * @type {(points: number[][], k: number, radius: number) => number[][]} */
  function round(points, k, radius) {
    const found = edges(points, k);
    if (!found || !(radius > 0)) throw new Error("there is no corner to round");
    const reach = radius / Math.tan(found.turn / 2);
    fits(reach, found);
    const { here, one, other, turn } = found, middle = [one.unit[0] + other.unit[0], one.unit[1] + other.unit[1]];
    const away = radius / Math.sin(turn / 2) / Math.hypot(middle[0], middle[1]);
    const centre = [here[0] + away * middle[0], here[1] + away * middle[1]];
    const from = [here[0] + reach * one.unit[0] - centre[0], here[1] + reach * one.unit[1] - centre[1]];
    const to = [here[0] + reach * other.unit[0] - centre[0], here[1] + reach * other.unit[1] - centre[1]];
    const angle = Math.PI - turn, way = Math.sign(from[0] * to[1] - from[1] * to[0]);
    const steps = Math.max(1, Math.ceil(angle / (2 * Math.acos(Math.max(0, 1 - OFF / radius)))));
    return Array.from({ length: steps + 1 }, (_, step) => {
      const turned = (way * angle * step) / steps, c = Math.cos(turned), s = Math.sin(turned);
      return [centre[0] + c * from[0] - s * from[1], centre[1] + s * from[0] + c * from[1]];
    });
  }

  /** What an outline is drawn of: where it starts, and its ways; what does not fit is drawn straight and sharp, and told by the check.
   * @type {(corners: Shaped[]) => {start: number[], ways: Way[]}} */
  function drawn(corners) {
    const once = walked(corners, 1);
    return once.area >= 0 ? once : walked(corners, -1);
  }

  /** `sense`: 1 where the metal lies on the left of the way, r to the right and z up; -1 on the right.
   * @type {(corners: Shaped[], sense: number) => {start: number[], ways: Way[], area: number}} */
  function walked(corners, sense) {
    const points = corners.map((corner) => corner.at), count = corners.length;
    const ends = corners.map((corner, k) => {
      const found = edges(points, k), broken = (corner.chamfer || corner.radius) && found && !corner.arc && !corners[(k + 1) % count].arc;
      const reach = broken ? corner.chamfer || (corner.radius || 0) / Math.tan(found.turn / 2) : 0;
      if (!broken || reach > Math.min(found.one.size, found.other.size)) return null;
      const [from, to] = [found.one, found.other].map(({ unit }) => [corner.at[0] + reach * unit[0], corner.at[1] + reach * unit[1]]);
      return { from, to, radius: corner.radius || 0, angle: Math.PI - found.turn, turn: -Math.sign(found.one.unit[0] * found.other.unit[1] - found.one.unit[1] * found.other.unit[0]) };
    });
    let at = ends[0] ? ends[0].from : points[0], area = 0;
    const start = at;
    /** @type {Way[]} */
    const ways = [];
    const go = (/** @type {number[]} */ to, radius = 0, turn = 0) => {
      area += (at[0] * to[1] - at[1] * to[0]) / 2 + (radius * radius * (turn - Math.sin(turn))) / 2;
      ways.push({ to, radius, turn });
      at = to;
    };
    corners.forEach((_, k) => {
      const own = ends[k], n = (k + 1) % count, next = corners[n], end = ends[n] ? ends[n].from : points[n];
      if (own) go(own.to, own.radius, own.radius ? own.turn * own.angle : 0);
      const way = Math.hypot(end[0] - at[0], end[1] - at[1]);
      if (!next.arc || !way || next.arc < way / 2 - 1e-6) { go(end); return; }
      const half = Math.asin(Math.min(1, way / 2 / next.arc));
      go(end, next.arc, sense * (next.convex ? 1 : -1) * 2 * (next.longer ? Math.PI - half : half));
    });
    return { start, ways, area: area * sense };
  }

  /** @type {(reach: number, edges: Edges) => void} */
  function fits(reach, { one, other }) {
    const room = Math.min(one.size, other.size);
    if (reach > room + 1e-9) throw new Error(`it takes ${reach.toFixed(2)} mm of an edge that is ${room.toFixed(2)} mm long`);
  }

  return { half, twice, mm, text, chamfer, round, drawn, OFF };
})();
