/* The camera against the pinhole's arithmetic. */
import assert from "node:assert/strict";
import test from "node:test";
import { Camera, Linear, near } from "./page.js";

const looking = (name, more = {}) => ({ ...Camera.first(), yaw: Camera.NAMED[name][0], pitch: Camera.NAMED[name][1], ...more });
const WIDTH = 800, HEIGHT = 500;
const BOX = [-1, 1].flatMap((x) => [-1, 1].flatMap((y) => [-1, 1].map((z) => [60 * x + 10, 35 * y, 90 * z + 40])));

test("the named directions look from where their names say", () => {
  const from = Object.fromEntries(Object.keys(Camera.NAMED).map((name) => [name, Camera.direction(looking(name))]));
  near(from.tailstock, [0, 0, 1]);
  near(from.headstock, [0, 0, -1]);
  near(from.side, [0, 1, 0]);
  near(from["far side"], [0, -1, 0]);
  near([from.above, from.below], [[1, 0, 0], [-1, 0, 0]], 2e-3); // as steep as keeps a picture's up steady
  assert.ok(from["three-quarter"].every((share) => Math.abs(share) > 0.1));
});

test("a picture from the side and the first one have the tailstock right and jaw 1 up, as turners draw them", () => {
  near(Camera.axes(looking("side")).right, [0, 0, 1], 1e-12);
  const { right, up } = Camera.axes(looking("three-quarter"));
  assert.ok(right[2] > 0.5 && up[0] > 0.5);
});

test("the frame of every direction is right-handed and of unit length, and jaw 1 is up from the tailstock", () => {
  for (const name of Object.keys(Camera.NAMED)) {
    const { right, up, back } = Camera.axes(looking(name));
    near([right, up, back].map(Linear.length), [1, 1, 1], 1e-12);
    near(Linear.cross(right, up), back, 1e-12);
  }
  near(Camera.axes(looking("tailstock")).up, [1, 0, 0], 1e-12);
});

test("the eye stands at its distance from what it looks at", () => {
  const camera = looking("three-quarter", { focus: [1, 2, 3], distance: 640 });
  near(Linear.length(Linear.sub(Camera.eye(camera), camera.focus)), 640);
});

test("a point is seen where the pinhole puts it", () => {
  const camera = looking("tailstock", { focus: [0, 0, 50], distance: 400 });
  const { matrix } = Camera.matrices(camera, WIDTH / HEIGHT, [0, 0, 50], 100);
  const pixels = HEIGHT / 2 / Math.tan(camera.angle / 2); // focal length
  const { x, y, seen } = Camera.projected(matrix, [30, -20, 10], WIDTH, HEIGHT);
  // Depth 440 from the eye at z = 450; x is up, and from the tailstock y runs to the left.
  near([x, y], [WIDTH / 2 + 20 * pixels / 440, HEIGHT / 2 - 30 * pixels / 440], 1e-9);
  assert.ok(seen);
  assert.ok(!Camera.projected(matrix, [0, 0, 500], WIDTH, HEIGHT).seen); // behind the eye
});

test("the ray through a pixel meets what is seen there", () => {
  for (const name of Object.keys(Camera.NAMED)) {
    const camera = looking(name, { focus: [5, -3, 20] });
    const { matrix } = Camera.matrices(camera, WIDTH / HEIGHT, [0, 0, 0], 150);
    for (const point of BOX) {
      const { x, y } = Camera.projected(matrix, point, WIDTH, HEIGHT);
      const { from, along } = Camera.ray(camera, x, y, WIDTH, HEIGHT);
      near(from, Camera.eye(camera));
      near(Linear.length(along), 1, 1e-12);
      near(Linear.cross(along, Linear.unit(Linear.sub(point, from))), [0, 0, 0], 1e-9);
    }
  }
});

test("near and far planes hold the sphere between them, also with the eye inside it", () => {
  for (const distance of [30, 150, 800]) {
    const camera = looking("side", { distance });
    const { matrix, eye } = Camera.matrices(camera, 1.6, [0, 0, 0], 100);
    const depth = (point) => {
      const [z, w] = [2, 3].map((r) => matrix[r] * point[0] + matrix[4 + r] * point[1] + matrix[8 + r] * point[2] + matrix[12 + r]);
      return z / w;
    };
    const towards = Linear.unit(Linear.scale(eye, -1));
    const nearest = depth(Linear.scale(towards, Math.max(-100, 5 - distance))), farthest = depth(Linear.scale(towards, 100));
    assert.ok(-1 - 1e-9 <= nearest && nearest < farthest && farthest <= 1 + 1e-9, `${nearest} to ${farthest}`);
  }
});

test("a height fills the picture from the distance that is given for it, and a narrow picture is filled across", () => {
  for (const aspect of [0.5, 1, 2]) {
    const distance = Camera.distanceFor(80, aspect), camera = looking("tailstock", { distance });
    const { matrix } = Camera.matrices(camera, aspect, [0, 0, 0], 100);
    const width = 600 * aspect;
    const top = Camera.projected(matrix, [40, 0, 0], width, 600), side = Camera.projected(matrix, [0, -40, 0], width, 600);
    if (aspect >= 1) near(top.y, 0, 1e-9); else near(side.x, width, 1e-9);
  }
});

test("what is fitted lies wholly in the picture and touches two edges of the share asked for", () => {
  for (const aspect of [0.6, 1, 1.9]) {
    for (const name of Object.keys(Camera.NAMED)) {
      const camera = Camera.fitted(looking(name), BOX, aspect, 0.8);
      const { matrix } = Camera.matrices(camera, aspect, [10, 0, 40], 120);
      const seen = BOX.map((point) => Camera.projected(matrix, point, 2 * aspect, 2)).map(({ x, y }) => [x / aspect - 1, y - 1]);
      const spans = [0, 1].map((k) => [Math.min(...seen.map((p) => p[k])), Math.max(...seen.map((p) => p[k]))]);
      near(Math.max(...spans.flat().map(Math.abs)), 0.8, 1e-6);
      assert.ok(spans.some(([low, high]) => Math.abs(low + 0.8) < 1e-6 && Math.abs(high - 0.8) < 1e-6));
    }
  }
});

test("a turn begins and ends at its two views and goes the short way round", () => {
  const a = looking("tailstock", { yaw: 3, distance: 100 }), b = looking("tailstock", { yaw: -3, distance: 400 });
  assert.deepEqual(Camera.between(a, b, 0), a);
  near(Camera.between(a, b, 1).distance, 400, 1e-9);
  near(Camera.between(a, b, 1).yaw, 2 * Math.PI - 3, 1e-12);
  near(Camera.between(a, b, 0.5).yaw, Math.PI, 1e-12);
  near(Camera.between(a, b, 0.5).distance, 200, 1e-9); // as often nearer as farther
});

test("an orbit stops before the pole, a zoom at its ends, a shift moves by shares of the picture", () => {
  const camera = looking("side");
  assert.ok(Camera.orbited(camera, 0, 10).pitch < Math.PI / 2);
  assert.ok(Camera.orbited(camera, 0, -10).pitch > -Math.PI / 2);
  assert.equal(Camera.zoomed(camera, 0).distance, 5);
  assert.equal(Camera.zoomed(camera, 1e9).distance, 2e4);
  const shifted = Camera.panned(camera, 0.25, -0.1), { matrix } = Camera.matrices(shifted, WIDTH / HEIGHT, [0, 0, 0], 100);
  const { x, y } = Camera.projected(matrix, camera.focus, WIDTH, HEIGHT);
  near([x, y], [WIDTH / 2 + 0.25 * HEIGHT, HEIGHT / 2 - 0.1 * HEIGHT], 1e-9); // the picture follows the hand
});

test("coming nearer leaves in its place what the pointer is on, at the focus's depth", () => {
  for (const name of Object.keys(Camera.NAMED)) {
    const camera = looking(name, { focus: [5, -3, 20] });
    const { right, up } = Camera.axes(camera);
    const point = Linear.add(camera.focus, Linear.add(Linear.scale(right, 40), Linear.scale(up, -25)));
    const seen = (view) => Camera.projected(Camera.matrices(view, WIDTH / HEIGHT, [0, 0, 0], 150).matrix, point, WIDTH, HEIGHT);
    const before = seen(camera), at = [(before.x - WIDTH / 2) / HEIGHT, (HEIGHT / 2 - before.y) / HEIGHT];
    for (const factor of [0.5, 1.3]) {
      const after = Camera.zoomed(camera, factor, at);
      near([seen(after).x, seen(after).y], [before.x, before.y], 1e-6);
      near(after.distance, camera.distance * factor, 1e-9);
    }
    near(Camera.zoomed(camera, 0.5).focus, camera.focus, 1e-12); // by keys: towards the middle
    near(Camera.zoomed({ ...camera, distance: 5 }, 0.5, at).focus, camera.focus, 1e-12); // as near as can be: nothing moves
  }
});
