/* Units against their definitions: the inch of 25.4 mm, the pound-force of 4.4482216152605 N (NIST SP 811, appendix B). */
import assert from "node:assert/strict";
import test from "node:test";
import { Units, near } from "./page.js";

const INCH_MM = 25.4, POUND_FORCE_N = 4.4482216152605;
const FOOT_M = 12 * INCH_MM / 1000;
const PSI_MPA = POUND_FORCE_N / INCH_MM ** 2;

test.afterEach(() => Units.choose("mm"));

test("inch units by their definitions", () => {
  Units.choose("inch");
  near(Units.out(INCH_MM, "length"), 1, 1e-12);
  near(Units.out(INCH_MM, "fine"), 1000, 1e-9); // µm to millionths of an inch
  near(Units.out(POUND_FORCE_N, "force"), 1000, 1e-9); // kN
  near(Units.out(10 * PSI_MPA, "pressure"), 1, 1e-9); // bar
  near(Units.out(1000 * PSI_MPA, "stress"), 1, 1e-8);
  near(Units.out(POUND_FORCE_N * FOOT_M, "torque"), 1, 1e-9);
  near(Units.out(POUND_FORCE_N * FOOT_M / 1000, "moment"), 1, 1e-9);
  near(Units.out(INCH_MM ** 2, "area"), 1, 1e-12);
  near([Units.out(1234, "speed"), Units.out(30, "angle")], [1234, 30]);
});

test("what is shown can be typed back, in either system", () => {
  for (const system of ["mm", "inch"]) {
    Units.choose(system);
    for (const kind of ["length", "fine", "force", "pressure", "stress", "torque", "moment", "area", "speed", "angle"]) {
      near(Units.back(Units.out(37.25, kind), kind), 37.25, 1e-12);
    }
  }
});

test("numbers: decimals of their kind, no minus zero, a dash for what is not known", () => {
  assert.equal(Units.number(12.3456, "length"), "12.35");
  assert.equal(Units.number(12.3456, "length", 1), "12.346");
  assert.equal(Units.number(-0.001, "length"), "0.00");
  assert.equal(Units.number(-0.4, "speed"), "0");
  for (const unknown of [null, undefined, NaN, Infinity]) assert.equal(Units.number(unknown, "length"), "–");
  assert.equal(Units.number(0, "length"), "0.00");
  assert.equal(Units.shown(-1.5, "length"), "\u22121.50\u00a0mm");
  Units.choose("inch");
  assert.equal(Units.shown(25.4, "length"), "1.0000\u00a0in");
});

test("sentences stay as they are in metric units", () => {
  const sentence = "12.50 mm at 40 bar, 3.2 kN m of 250 MPa";
  assert.equal(Units.text(sentence), sentence);
});

test("sentences in inch units, each measure in the unit of its kind", () => {
  Units.choose("inch");
  assert.match(Units.text("25.4 mm"), /^1\.0+ in$/);
  assert.match(Units.text("-25.40 mm"), /^-1\.0+ in$/);
  near(parseFloat(Units.text("1355.82 N m")), 1000, 0.01);
  assert.match(Units.text("1355.82 N m"), / lbf ft$/);
  assert.match(Units.text("4448.22 N"), /^1000 lbf$/);
  assert.match(Units.text("10 bar of 20 bar"), /^145(\.\d+)? psi of 290(\.\d+)? psi$/);
  assert.match(Units.text("645.16 mm²"), /^1\.\d+ in²$/);
  assert.equal(Units.text("3000 rev/min, 40 deg, N20, 5 mmol"), "3000 rev/min, 40 deg, N20, 5 mmol");
  assert.equal(Units.text(""), "");
});

test("no unit of the sentence is read as another that begins like it", () => {
  Units.choose("inch");
  assert.match(Units.text("1 kN m"), /lbf ft$/);
  assert.match(Units.text("1 kN"), /lbf$/);
  assert.match(Units.text("1.0 mm2"), /in²$/);
  assert.match(Units.text("1\u00a0kN\u00a0m"), /\u00a0lbf ft$/);
});

test("a value beyond its limit by one metric step stays beyond it in inch units", () => {
  Units.choose("inch");
  for (const [unit, step, places] of [["mm", 0.01, 2], ["mm", 1, 0], ["µm", 0.1, 1], ["kN", 0.1, 1], ["bar", 1, 0], ["MPa", 1, 0], ["N m", 1, 0], ["kN m", 0.01, 2], ["mm²", 0.1, 1]]) {
    for (let k = 0; k < 300; k += 1) {
      const limit = 10 + k * step, beyond = limit + step;
      const [low, high] = Units.text(`${limit.toFixed(places)} ${unit}, ${beyond.toFixed(places)} ${unit}`).split(", ").map(parseFloat);
      assert.ok(high > low, `${limit} and ${beyond} ${unit} both read ${low}`);
    }
  }
});
