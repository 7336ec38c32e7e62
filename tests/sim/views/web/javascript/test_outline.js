/* Lengths of an outline as they are typed, and corners broken or rounded, against plain geometry. */
import assert from "node:assert/strict";
import test from "node:test";
import { Outline, near } from "./page.js";

test("a diameter becomes its radius without loss, in the unit that was typed", () => {
  for (const [typed, radius] of [["99.95 mm", "49.975 mm"], ["100 mm", "50 mm"], ["0 mm", "0 mm"], [".5 in", "0.25 in"], ["3 5/8 in", "1.8125 in"],
    ["3-5/8\"", "1.8125 \""], ["1/128 in", "0.00390625 in"], ["-3 mm", "-1.5 mm"], ["0.1 mm", "0.05 mm"], ["123456.789 um", "61728.3945 um"]]) {
    assert.equal(Outline.half(typed), radius);
    near(Outline.mm(Outline.half(typed)), Outline.mm(typed) / 2, 1e-12);
  }
});

test("what is shown as a diameter is what was typed", () => {
  for (const typed of ["99.95 mm", "100 mm", "0.3 mm", "3.625 in"]) assert.equal(Outline.twice(Outline.half(typed)), typed);
});

test("what is no length here never becomes a radius as it stands", () => {
  // '1e2 mm' is a length to the program: written as a radius it would make the part twice as large.
  for (const typed of ["100", "1e2 mm", "3,7 mm", "r 5 mm", "5 furlong", "9/8 in", "1/3 in", "1/2 mm", "5 mm mm"]) {
    assert.equal(Outline.mm(typed), null);
    assert.equal(Outline.half(typed), `Ø ${typed}`);
    assert.equal(Outline.twice(Outline.half(typed)), typed);
  }
  assert.equal(Outline.half(""), "");
  assert.equal(Outline.twice("1e2 mm"), "r = 1e2 mm");
});

test("lengths in mm by their units", () => {
  near(["118 mm", "1.18 cm", "0.118 m", "118 um", "1 in", "1 inch", "1\"", "3 5/8 in"].map(Outline.mm), [118, 11.8, 118, 0.118, 25.4, 25.4, 25.4, 92.075], 1e-12);
});

const square = [[10, 0], [30, 0], [30, 20], [10, 20]];

test("a chamfer takes its leg of both edges", () => {
  near(Outline.chamfer(square, 1, 2), [[28, 0], [30, 2]], 1e-12);
  near(Outline.chamfer(square, 0, 2), [[10, 2], [12, 0]], 1e-12);
});

/** Area of a closed outline (shoelace). */
const area = (points) => Math.abs(points.reduce((sum, [x, y], k) => { const [u, v] = points[(k + 1) % points.length]; return sum + x * v - u * y; }, 0) / 2);

test("a rounded corner touches both edges, lies on the arc and takes away what a fillet does", () => {
  for (const radius of [0.4, 3, 12]) {
    const made = Outline.round(square, 2, radius), centre = [30 - radius, 20 - radius];
    near([made[0], made[made.length - 1]], [[30, 20 - radius], [30 - radius, 20]], 1e-9);
    for (const point of made) near(Math.hypot(point[0] - centre[0], point[1] - centre[1]), radius, 1e-9);
    for (let k = 1; k < made.length; k += 1) {
      const middle = [(made[k][0] + made[k - 1][0]) / 2 - centre[0], (made[k][1] + made[k - 1][1]) / 2 - centre[1]];
      assert.ok(radius - Math.hypot(...middle) <= Outline.OFF + 1e-12);
    }
    const left = area([...square.slice(0, 2), ...made, square[3]]);
    near(left, 400 - (1 - Math.PI / 4) * radius ** 2, Outline.OFF * radius * Math.PI / 2);
  }
});

test("an inner corner is rounded inward, also between slanting edges", () => {
  const ell = [[10, 0], [40, 0], [40, 10], [20, 10], [20, 30], [10, 30]];
  const made = Outline.round(ell, 3, 4);
  near([made[0], made[made.length - 1]], [[24, 10], [20, 14]], 1e-9);
  const slant = [[0, 0], [20, 0], [10, Math.sqrt(300)]]; // 60 degrees at each corner
  const [first] = Outline.round(slant, 1, 2);
  near(first, [20 - 2 / Math.tan(Math.PI / 6), 0], 1e-9);
});

test("what does not fit, or is no corner, is refused", () => {
  assert.throws(() => Outline.chamfer(square, 1, 21), /20\.00 mm/);
  assert.throws(() => Outline.round(square, 1, 21), /20\.00 mm/);
  assert.throws(() => Outline.chamfer([[0, 0], [1, 0], [2, 0], [2, 2]], 1, 0.1), /no corner/);
  assert.throws(() => Outline.chamfer([[0, 0], [0, 0], [2, 2]], 1, 0.1), /no corner/);
  assert.throws(() => Outline.chamfer(square, 1, 0), /no corner/);
});

/** Area on the left of the ways that are drawn, each arc as a thousand points on its circle. */
const drawnArea = (corners) => {
  const { start, ways } = Outline.drawn(corners), points = [start];
  for (const { to, radius, turn } of ways) {
    const from = points[points.length - 1];
    if (radius) {
      const way = Math.hypot(to[0] - from[0], to[1] - from[1]), off = (Math.sign(turn) * radius * Math.cos(turn / 2)) / way;
      const centre = [(from[0] + to[0]) / 2 - off * (to[1] - from[1]), (from[1] + to[1]) / 2 + off * (to[0] - from[0])];
      near(Math.hypot(from[0] - centre[0], from[1] - centre[1]), radius, 1e-9);
      const first = Math.atan2(from[1] - centre[1], from[0] - centre[0]);
      for (let k = 1; k < 1000; k += 1) points.push([centre[0] + radius * Math.cos(first + (turn * k) / 1000), centre[1] + radius * Math.sin(first + (turn * k) / 1000)]);
    }
    points.push(to);
  }
  return area(points);
};
const at = (corners, more = {}) => corners.map((corner, k) => ({ at: corner, ...(more[k] || {}) }));

test("what is drawn has the arcs, chamfers and roundings that are stated, whichever way round it is typed", () => {
  near(drawnArea(at(square)), 400, 1e-9);
  near(drawnArea(at(square, { 2: { chamfer: 3 } })), 400 - 4.5, 1e-9);
  near(drawnArea(at(square, { 2: { radius: 5 } })), 400 - (1 - Math.PI / 4) * 25, 1e-3);
  near(drawnArea(at(square, { 2: { arc: 10, convex: true } })), 400 + 50 * Math.PI, 1e-3);
  near(drawnArea(at(square, { 2: { arc: 10, convex: false } })), 400 - 50 * Math.PI, 1e-3);
  const back = [square[2], square[1], square[0], square[3]];
  near(drawnArea(at(back, { 1: { arc: 10, convex: true } })), 400 + 50 * Math.PI, 1e-3);
  near(drawnArea(at(back, { 1: { arc: 10, convex: false } })), 400 - 50 * Math.PI, 1e-3);
  // Radius 20 over 20 mm: 60 degrees, or the other 300.
  const piece = 200 * (Math.PI / 3 - Math.sin(Math.PI / 3));
  near(drawnArea(at(square, { 2: { arc: 20, convex: true } })), 400 + piece, 1e-3);
  near(drawnArea(at(square, { 2: { arc: 20, convex: true, longer: true } })), 400 + 400 * Math.PI - piece, 1e-1);
  near(drawnArea([{ at: [0, -10] }, { at: [0, 10], arc: 10, convex: true }, { at: [0, 0] }]), 50 * Math.PI, 1e-3);
});

test("what does not fit is drawn straight and sharp", () => {
  near(drawnArea(at(square, { 2: { arc: 9, convex: true } })), 400, 1e-9);
  near(drawnArea(at(square, { 2: { radius: 21 } })), 400, 1e-9);
});
