/* Vectors and matrices against closed forms: rotations, clip coordinates as the OpenGL specification defines them. */
import assert from "node:assert/strict";
import test from "node:test";
import { Linear, near } from "./page.js";

const point = [3, -4, 12];

/** A matrix (column by column) times (x, y, z, 1), the fourth number divided out: written out, not by the code tested. */
function clip(m, [x, y, z]) {
  const [a, b, c, w] = [0, 1, 2, 3].map((r) => m[r] * x + m[4 + r] * y + m[8 + r] * z + m[12 + r]);
  return [a / w, b / w, c / w];
}

test("a vector's length, its direction, a point on the way", () => {
  assert.equal(Linear.length(point), 13);
  near(Linear.unit(point), [3 / 13, -4 / 13, 12 / 13]);
  assert.deepEqual(Linear.unit([0, 0, 0]), [0, 0, 0]);
  near(Linear.mix([0, 0, 0], point, 0.25), [0.75, -1, 3]);
});

test("cross products turn right-handed", () => {
  assert.deepEqual(Linear.cross([1, 0, 0], [0, 1, 0]), [0, 0, 1]);
  assert.deepEqual(Linear.cross([0, 1, 0], [1, 0, 0]), [0, 0, -1]);
  const found = Linear.cross([1, 2, 3], [-2, 5, 1]);
  near([Linear.dot(found, [1, 2, 3]), Linear.dot(found, [-2, 5, 1])], [0, 0]);
});

test("jaw 2 stands 120 degrees counter-clockwise of jaw 1, after its move outwards", () => {
  const turn = 2 * Math.PI / 3, out = 50;
  near(Linear.moved(Linear.turnedAbout(turn, out, 0, 7), [0, 0, 0]), [-out / 2, out * Math.sqrt(3) / 2, 7]);
  near(Linear.moved(Linear.turnedAbout(Math.PI / 2, 1, 2, 3), [10, 20, 30]), [-22, 11, 33]);
});

test("a move and its way back, of points and of directions", () => {
  const m = Linear.turnedAbout(0.7, 11, -5, 2);
  near(Linear.movedBack(m, Linear.moved(m, point)), point, 1e-12);
  near(Linear.turnedBack(m, Linear.turned(m, point)), point, 1e-12);
  near(Linear.length(Linear.turned(m, point)), 13, 1e-12);
  near(Linear.sub(Linear.moved(m, point), Linear.moved(m, [0, 0, 0])), Linear.turned(m, point), 1e-12);
});

test("one matrix after another is their product, and the order counts", () => {
  const a = Linear.turnedAbout(0.4, 1, 2, 3), b = Linear.turnedAbout(-1.1, 4, 0, -2);
  near(Linear.moved(Linear.multiply(a, b), point), Linear.moved(a, Linear.moved(b, point)), 1e-12);
  assert.throws(() => near(Linear.multiply(a, b), Linear.multiply(b, a)));
  near(Linear.multiply(a, Linear.identity()), a);
});

test("a frame is right-handed and of unit length, whatever length its directions have", () => {
  const { right, up, back } = Linear.frame([0, 0, 5], [3, 0, 4]);
  near([right, up, back], [[0, -1, 0], [1, 0, 0], [0, 0, 1]]); // seen from the tailstock with x up, y runs to the left
  near(Linear.cross(right, up), back);
});

test("the eye is the origin of what it sees, and what lies before it has a negative depth", () => {
  const axes = Linear.frame([0, 0, 1], [1, 0, 0]), eye = [10, 20, 300];
  const view = Linear.viewMatrix(eye, axes);
  near(clip(view, eye), [0, 0, 0]);
  near(clip(view, [10, 20, 0]), [0, 0, -300]);
  near(clip(view, [11, 20, 0]), [0, 1, -300]); // x is up
});

test("perspective: near plane to -1, far plane to 1, the edge of the picture to 1, its centre moved by as much as asked", () => {
  const angle = 0.5, m = Linear.perspective(angle, 2, 10, 1000), top = Math.tan(angle / 2);
  near([clip(m, [0, 0, -10])[2], clip(m, [0, 0, -1000])[2]], [-1, 1]);
  near(clip(m, [0, 50 * top, -50])[1], 1);
  near(clip(m, [2 * 50 * top, 0, -50])[0], 1);
  const shifted = clip(Linear.perspective(angle, 2, 10, 1000, 0.25, -0.5), [0, 0, -70]);
  near([Math.abs(shifted[0]), Math.abs(shifted[1])], [0.25, 0.5]);
});

test("a light's box just holds a sphere: its ends lie at -1 and 1, the near end towards the light", () => {
  const centre = [5, 6, 7], radius = 20, direction = Linear.unit([1, 2, 2]);
  const m = Linear.lightMatrix(direction, centre, radius);
  near(clip(m, centre), [0, 0, 0], 1e-12);
  near(clip(m, Linear.add(centre, Linear.scale(direction, radius)))[2], -1, 1e-12);
  near(clip(m, Linear.sub(centre, Linear.scale(direction, radius)))[2], 1, 1e-12);
  const aside = Linear.unit(Linear.cross(direction, [0, 0, 1]));
  const [x, y, z] = clip(m, Linear.add(centre, Linear.scale(aside, radius)));
  near([Math.hypot(x, y), z], [1, 0], 1e-12);
});
