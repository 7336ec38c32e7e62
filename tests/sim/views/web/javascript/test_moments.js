/* The moments of the work: what the sliders say at each, and that nothing turns while the jaws move. */
import assert from "node:assert/strict";
import test from "node:test";
import { Moments, near } from "./page.js";

const stage = { ranges: { travel_mm: [0, 6, 0.01] }, side_force_N: 850, track: null };
const at = (place, more = {}) => Moments.state({ ...stage, ...more }, 3.01, 1200, place);

test("each moment is what its name says", () => {
  assert.deepEqual(Moments.NAMES, ["load", "close", "grip", "spin up", "cut", "release"]);
  const said = [0, 1, 2, 3, 4, 5].map((k) => { const one = at(k); return [one.travel_mm, one.speed_rpm]; });
  near(said, [[0, 0], [2.96, 0], [3.01, 0], [3.01, 1200], [3.01, 1200], [0, 0]], 1e-12);
  assert.equal(at(3).side_force_N, 0);
  assert.equal(at(3.5).side_force_N, 850); // without a path the cut is its side force
  const run = { track: { length_mm: 400 } };
  near([at(3, run).position_mm, at(3.5, run).position_mm, at(4, run).position_mm, at(4.01, run).position_mm], [0, 200, 400, 0], 1e-6);
  assert.equal(at(3.5, run).side_force_N, 0);
});

test("while the spindle turns the jaws grip, and while they move it stands", () => {
  for (let place = 0; place <= 5; place += 0.01) {
    const { travel_mm: travel, speed_rpm: speed } = at(place);
    assert.ok(speed === 0 || travel === 3.01, `at ${place}: ${travel} mm, ${speed} rev/min`);
    assert.ok(travel >= 0 && travel <= 3.01 && speed >= 0 && speed <= 1200);
  }
});

test("jaws that grip where they were loaded do not go back", () => {
  near(Moments.state(stage, 0.02, 1200, 1).travel_mm, 0, 1e-12);
});
