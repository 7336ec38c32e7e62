/* The block of directions: its sides are seen as the camera sees the setup. */
import assert from "node:assert/strict";
import test from "node:test";
import { Camera, Cube, near } from "./page.js";

const axes = (yaw, pitch) => Camera.axes({ ...Camera.first(), yaw, pitch });

test("from a named direction its own side alone faces the eye, upright and not turned over", () => {
  for (const name of ["tailstock", "headstock", "side", "far side", "above", "below"]) {
    const sides = Cube.seen(axes(...Camera.NAMED[name]));
    assert.deepEqual(sides.map((side) => side.from), [name]);
    near(sides[0].matrix.slice(0, 4), [1, 0, 0, 1], 1e-9);
  }
});

test("from a corner three sides are seen, none from behind", () => {
  for (const [yaw, pitch] of [[0.6, 0.4], [-0.95, 0.36], [2.5, -0.5]]) {
    const sides = Cube.seen(axes(yaw, pitch));
    assert.equal(sides.length, 3);
    for (const { matrix: [a, b, c, d] } of sides) assert.ok(a * d - b * c > 0.05);
  }
});
