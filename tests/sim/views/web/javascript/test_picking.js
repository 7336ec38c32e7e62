/* What lies under the pointer: a block whose corners are known, whole, turned with its jaw, and cut open. */
import assert from "node:assert/strict";
import test from "node:test";
import { Camera, Linear, Picking, Scene, near } from "./page.js";

/** A block from (-a, -b, -c) to (a, b, c), its triangles turned outwards. */
function block([a, b, c]) {
  const positions = [-1, 1].flatMap((x) => [-1, 1].flatMap((y) => [-1, 1].flatMap((z) => [x * a, y * b, z * c])));
  const sides = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]];
  return { positions, triangles: sides.flatMap(([p, q, r, s]) => [p, q, r, p, r, s]) };
}
const scene = { shapes: { block: block([10, 20, 30]), small: block([2, 2, 2]) } };
const item = (more = {}) => ({ body: { name: "block" }, geometry: "block", look: "solid", matrix: Linear.identity(), ...more });
const down = { from: [3, 5, 200], along: [0, 0, -1] }; // towards the headstock

test("the block's own triangles are turned outwards: six volumes of pyramids add up to it", () => {
  const { positions, triangles } = scene.shapes.block;
  const corner = (k) => positions.slice(3 * k, 3 * k + 3);
  let volume = 0;
  for (let k = 0; k < triangles.length; k += 3) {
    const [p, q, r] = [0, 1, 2].map((n) => corner(triangles[k + n]));
    volume += Linear.dot(p, Linear.cross(q, r)) / 6;
  }
  near(volume, 20 * 40 * 60, 1e-9);
});

test("a ray meets the nearest face", () => {
  const found = Picking.hit(scene, [item()], down, null);
  near(found.point, [3, 5, 30]);
  near(found.t, 170);
  assert.equal(Picking.hit(scene, [item()], { from: [11, 5, 200], along: [0, 0, -1] }, null), null);
  assert.equal(Picking.hit(scene, [item()], { from: [3, 5, 200], along: [0, 0, 1] }, null), null); // looks away
});

test("a slanted ray meets the face that it comes to first", () => {
  const along = Linear.unit([-1, 0, -1]);
  // From (60, 0, 60): x = z all the way; at x = 10 the side, where z = 10 lies within the block.
  near(Picking.hit(scene, [item()], { from: [60, 0, 60], along }, null).point, [10, 0, 10], 1e-9);
});

test("of several bodies the nearest, and none that is hidden, glass or a coloured face", () => {
  const near_ = item({ geometry: "small", matrix: Linear.turnedAbout(0, 3, 5, 100), body: { name: "small" } });
  assert.equal(Picking.hit(scene, [item(), near_], down, null).item.body.name, "small");
  near(Picking.hit(scene, [item(), near_], down, null).point, [3, 5, 102]);
  for (const more of [{ look: "glass" }, { look: "hidden" }, { pressure: 0 }]) {
    near(Picking.hit(scene, [item(), { ...near_, ...more }], down, null).point, [3, 5, 30]);
  }
});

test("a body that is turned and moved is met where it stands", () => {
  const matrix = Linear.turnedAbout(Math.PI / 2, 40, 0, 7); // its x now runs along y: it spans y 30 to 50, x -20 to 20
  const found = Picking.hit(scene, [item({ matrix })], { from: [15, 0, 0], along: [0, 1, 0] }, null);
  near(found.point, [15, 30, 0], 1e-9);
  near(Picking.anchor(found, found.point).local, [-10, -15, -7], 1e-9);
});

test("a section opens a body: the cut face is met, and beyond the body nothing", () => {
  const cut = Scene.plane({ plane: "across", at: 12, flipped: false }); // takes away z > 12
  const found = Picking.hit(scene, [item()], down, cut);
  near(found.point, [3, 5, 12], 1e-9);
  assert.deepEqual(found.corners, []); // a cut face has no corner to snap to
  near(Picking.hit(scene, [item({ whole: true })], down, cut).point, [3, 5, 30]); // a tool is not sectioned
  const gone = Scene.plane({ plane: "across", at: -40, flipped: false });
  assert.equal(Picking.hit(scene, [item()], down, gone), null);
  const other = Scene.plane({ plane: "across", at: 12, flipped: true }); // takes away z < 12
  near(Picking.hit(scene, [item()], down, other).point, [3, 5, 30]);
});

test("a corner within nine pixels is taken, one farther away is not", () => {
  const camera = { ...Camera.first(), yaw: 0, pitch: 0, distance: 400 };
  const { matrix } = Camera.matrices(camera, 1, [0, 0, 0], 60);
  const corner = Camera.projected(matrix, [10, 20, 30], 600, 600);
  for (const [away, wanted] of [[7, true], [11, false]]) {
    const x = corner.x + away, y = corner.y; // y runs to the left in this picture: towards the block's middle
    const found = Picking.hit(scene, [item()], Camera.ray(camera, x, y + 0.5, 600, 600), null);
    const snapped = Picking.snapped(found, matrix, x, y + 0.5, 600, 600);
    if (wanted) near(snapped, [10, 20, 30]); else near(snapped, found.point);
  }
});

test("distances between two points: straight, along each axis, and of their radii", () => {
  const found = Picking.between([3, 4, 0], [0, 10, 12]);
  near(found.distance, Math.sqrt(9 + 36 + 144));
  near([found.x, found.y, found.z], [-3, 6, 12]);
  near(found.radius, 5);
});

test("a quarter is open where both planes have passed, and its far walls are met", () => {
  const section = { plane: "quarter", at: 0, flipped: false };
  const [cut, also] = [Scene.plane(section), Scene.second(section)]; // takes away y > 0 and x > 0
  const hit = (from, along) => Picking.hit(scene, [item()], { from, along: Linear.unit(along) }, cut, also);
  near(hit([5, 90, 0], [0, -1, 0]).point, [5, 0, 0], 1e-9); // through the open quarter to the upright wall
  near(hit([90, 5, 0], [-1, 0, 0]).point, [0, 5, 0], 1e-9); // and to the level one
  near(hit([-5, 90, 0], [0, -1, 0]).point, [-5, 20, 0], 1e-9); // beside it the block's own face
  near(hit([6, 90, 2], [-1, -12, 0]).point, [0, 18, 2], 1e-9); // slanted: the level wall comes first
  near(hit([5, -90, 0], [0, 1, 0]).point, [5, -20, 0], 1e-9); // from behind: the block's own face
});

/** A drum of `count` facets about the spindle from z = 0 to `long`, its rims as edges; as much volume as the round one. */
function drum(round, long, count) {
  const positions = [], triangles = [], edges = [], radius = round * Math.sqrt((2 * Math.PI / count) / Math.sin(2 * Math.PI / count));
  const rim = (k, z) => [radius * Math.cos(2 * Math.PI * k / count), radius * Math.sin(2 * Math.PI * k / count), z];
  for (let k = 0; k < count; k += 1) {
    positions.push(...rim(k, 0), ...rim(k, long));
    const [a, b, c, d] = [2 * k, 2 * k + 1, 2 * ((k + 1) % count), 2 * ((k + 1) % count) + 1];
    triangles.push(a, c, b, b, c, d);
    edges.push(...rim(k, 0), ...rim(k + 1, 0), ...rim(k, long), ...rim(k + 1, long));
  }
  return { positions, triangles, edges };
}
const drums = { shapes: { drum: drum(50, 40, 64) } };
const onDrum = item({ geometry: "drum" });
/** Point at a place from the side where y is nought, 500 pixels wide. */
function pointed(place, edges) {
  const camera = { ...Camera.first(), focus: [0, 0, 20], yaw: Camera.NAMED.above[0], pitch: 0.9, distance: 400 };
  const { matrix } = Camera.matrices(camera, 1, [0, 0, 20], 60);
  const { x, y } = Camera.projected(matrix, place, 500, 500);
  const found = Picking.hit(drums, [onDrum], Camera.ray(camera, x, y, 500, 500), null);
  return Picking.snapped(found, matrix, x, y, 500, 500, edges);
}

test("on a facet of a cylinder about the spindle the point lies on the cylinder, not on the chord", () => {
  const half = Math.PI / 64, deep = 50 * Math.cos(half); // the middle of a facet, 0.06 mm within
  const found = pointed([deep * Math.cos(half), deep * Math.sin(half), 20], []);
  near(Math.hypot(found[0], found[1]), 50, 1e-9);
  near(found[2], 20, 0.1);
});

test("near a rim the point lies on its circle, at its very height", () => {
  const { edges } = drums.shapes.drum;
  for (const off of [-1.2, -0.3]) {
    const found = pointed([50 * Math.cos(0.08), 50 * Math.sin(0.08), 40 + off], edges);
    near([Math.hypot(found[0], found[1]), found[2]], [50, 40], 1e-9);
  }
  near(pointed([50 * Math.cos(0.08), 50 * Math.sin(0.08), 30], edges)[2], 30, 0.2); // too far from it
});

test("a square's sides are no cylinder, and its edges are no circle", () => {
  const square = { shapes: { block: { ...block([20, 20, 30]), edges: [20, -20, 30, 20, 20, 30] } } };
  const camera = { ...Camera.first(), focus: [0, 0, 0], yaw: 0, pitch: 0.9, distance: 400 };
  const { matrix } = Camera.matrices(camera, 1, [0, 0, 0], 60);
  const at = (place, edges) => {
    const { x, y } = Camera.projected(matrix, place, 500, 500);
    return Picking.snapped(Picking.hit(square, [item()], Camera.ray(camera, x, y, 500, 500), null), matrix, x, y, 500, 500, edges);
  };
  near(at([20, 3, 5], []), [20, 3, 5], 1e-6);
  near(at([20, 3, 29.5], square.shapes.block.edges), [20, 3, 30], 0.2);
});

test("the place on a coloured face is that of its triangle, shared out by areas", () => {
  const face = { positions: [10, -5, 0, 10, 5, 0, 10, 5, 20, 10, -5, 20], triangles: [0, 1, 2, 0, 2, 3], places: [0, 0, 1, 0, 1, 1, 0, 1] };
  const scene_ = { shapes: { face } };
  const ray = { from: [0, 2.5, 5], along: [1, 0, 0] };
  const found = Picking.facePlace(scene_, [item({ geometry: "face", pressure: 2 })], ray, 10.2);
  assert.equal(found.jaw, 2);
  near([found.around, found.along], [0.75, 0.25], 1e-9);
  assert.equal(Picking.facePlace(scene_, [item({ geometry: "face", pressure: 2 })], ray, 8), null); // what was hit lies before it
  assert.equal(Picking.facePlace(scene_, [item({ geometry: "face" })], ray, 10.2), null); // not coloured
});
