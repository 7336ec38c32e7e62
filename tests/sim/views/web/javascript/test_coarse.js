/* A solid with fewer triangles against what it stands for: a tube of many sides. */
import assert from "node:assert/strict";
import test from "node:test";
import { Coarse, near } from "./page.js";

const SIDES = 360, RADIUS = 50, LONG = 40;

/** Outside of a cylinder, two triangles a side, with its two rims as edges. */
function cylinder() {
  const positions = [], normals = [], triangles = [], edges = [], places = [];
  const at = (k, z) => [RADIUS * Math.cos(2 * Math.PI * k / SIDES), RADIUS * Math.sin(2 * Math.PI * k / SIDES), z];
  for (let k = 0; k < SIDES; k += 1) {
    for (const z of [0, LONG]) {
      positions.push(...at(k, z));
      normals.push(...at(k, 0).map((v) => Math.round(32767 * v / RADIUS)), 0);
      places.push(k / SIDES, z / LONG);
      edges.push(...at(k, z), ...at((k + 1) % SIDES, z));
    }
    const [a, b] = [2 * k, 2 * ((k + 1) % SIDES)];
    triangles.push(a, b, a + 1, b, b + 1, a + 1);
  }
  return { positions: Float32Array.from(positions), normals: Int16Array.from(normals), triangles: Uint16Array.from(triangles),
    edges: Float32Array.from(edges), places: Float32Array.from(places) };
}

/** Six times the volume between a surface and the middle of the axis. */
function volume({ positions, triangles }) {
  let sum = 0;
  for (let k = 0; k < triangles.length; k += 3) {
    const [a, b, c] = [0, 1, 2].map((n) => [...positions.subarray(3 * triangles[k + n], 3 * triangles[k + n] + 3)]).map(([x, y, z]) => [x, y, z - LONG / 2]);
    sum += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return sum;
}

test("triangles and lines are as few as cells are wide, and the shape stays", () => {
  const whole = cylinder(), thin = Coarse.thinned(whole, 4);
  assert.ok(thin.triangles.length < whole.triangles.length / 3);
  assert.ok(thin.edges.length < whole.edges.length / 3);
  near(volume(thin) / volume(whole), 1, 0.01);
});

test("every corner stays on the surface, with the light and the place of a corner that was there", () => {
  const whole = cylinder(), thin = Coarse.thinned(whole, 4);
  const known = new Set(Array.from({ length: whole.positions.length / 3 }, (_, k) => [...whole.normals.subarray(4 * k, 4 * k + 3), ...whole.places.subarray(2 * k, 2 * k + 2)].join()));
  for (let k = 0; k < thin.positions.length / 3; k += 1) {
    const [x, y] = thin.positions.subarray(3 * k, 3 * k + 2);
    near(Math.hypot(x, y), RADIUS, 1e-4);
    assert.ok(known.has([...thin.normals.subarray(4 * k, 4 * k + 3), ...thin.places.subarray(2 * k, 2 * k + 2)].join()));
    near([thin.normals[4 * k] / 32767, thin.normals[4 * k + 1] / 32767], [x / RADIUS, y / RADIUS], 0.12);
  }
});

test("lines end where the corners of the triangles are", () => {
  const thin = Coarse.thinned(cylinder(), 4), corners = new Set();
  for (let k = 0; k < thin.positions.length; k += 3) corners.add([...thin.positions.subarray(k, k + 3)].join());
  for (let k = 0; k < thin.edges.length; k += 3) assert.ok(corners.has([...thin.edges.subarray(k, k + 3)].join()));
});

test("two sides of a thin wall keep their own light", () => {
  const positions = Float32Array.from([0, 0, 0, 10, 0, 0, 0, 10, 0, 0, 0, 0.1, 10, 0, 0.1, 0, 10, 0.1]);
  const normals = Int16Array.from([0, 0, -32767, 0, 0, 0, -32767, 0, 0, 0, -32767, 0, 0, 0, 32767, 0, 0, 0, 32767, 0, 0, 0, 32767, 0]);
  const thin = Coarse.thinned({ positions, normals, triangles: Uint16Array.from([0, 2, 1, 3, 4, 5]), edges: new Float32Array() }, 2);
  assert.equal(thin.triangles.length, 6);
  near([...thin.triangles].map((k) => thin.normals[4 * k + 2] / 32767), [-1, -1, -1, 1, 1, 1]);
});
