/* The part as it gives way, by closed forms: a ring's volume, a sideways motion, and jaws that lean. */
import assert from "node:assert/strict";
import test from "node:test";
import { Scene, Shape, near } from "./page.js";

const ANGLES = 120, STEP = 1e-6;
const jaw = (more = {}) => ({ master_mm: 0, master_slope: 0, pivot_mm: -25, face_mm: 0, face_slope: 0, middle_mm: 30, ...more });

/** A ring of radii 40 and 60, z 20 to 50, whose places move outward by `out(place, turn)` mm; its bore is the circle told. */
function ring(out, more = {}) {
  const corners = [[40, 20], [60, 20], [60, 50], [40, 50]], places = [], held = [];
  corners.forEach(([r, z], k) => {
    const [r2, z2] = corners[(k + 1) % 4];
    for (const share of [0, 0.5, 1]) { places.push(r + share * (r2 - r), z + share * (z2 - z)); held.push(k === 1); }
  });
  places.push(40, 35);
  held.push(false);
  const moved = new Int16Array(3 * held.length * ANGLES);
  held.forEach((_, k) => { for (let j = 0; j < ANGLES; j += 1) moved[3 * k * ANGLES + j] = Math.round(out(k, 2 * Math.PI * j / ANGLES) / STEP); });
  return { places: Float32Array.from(places), held, angles: ANGLES, step_mm: STEP, moved, shift_mm: [0, 0], tilt_rad: [0, 0],
    roundness_um: 20, largest_um: 10, jaws: [jaw(), jaw(), jaw()], ...more };
}

/** Volume of a closed solid by its triangles, positive where they look outward. */
function volume({ positions: p, triangles: t }) {
  const at = (k) => [p[3 * k], p[3 * k + 1], p[3 * k + 2]];
  let six = 0;
  for (let k = 0; k < t.length; k += 3) {
    const [a, b, c] = [at(t[k]), at(t[k + 1]), at(t[k + 2])];
    six += a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return six / 6;
}
const POLYGON = ANGLES / (2 * Math.PI) * Math.sin(2 * Math.PI / ANGLES); // area of a polygon over its circle's

test("a ring that does not move has the volume of a ring, whichever way its outline runs", () => {
  const still = ring(() => 0), expected = Math.PI * (60 ** 2 - 40 ** 2) * 30 * POLYGON;
  near(volume(Shape.solid(still, 1000, false)), expected, 1e-3 * expected);
  const back = { ...still, places: Float32Array.from([...Array(12).keys()].reverse().flatMap((k) => [still.places[2 * k], still.places[2 * k + 1]]).concat([40, 35])) };
  near(volume(Shape.solid(back, 1000, false)), expected, 1e-3 * expected);
});

test("normals look out of the metal", () => {
  for (const shape of [ring(() => 0), ring((_, turn) => 0.01 * Math.cos(3 * turn))]) {
    const { positions, normals } = Shape.solid(shape, 100, false);
    for (let k = 0; k < positions.length / 3; k += 1) {
      const r = Math.hypot(positions[3 * k], positions[3 * k + 1]), place = Math.floor(k / ANGLES), edge = Math.floor(place / 3);
      const outward = (normals[4 * k] * positions[3 * k] + normals[4 * k + 1] * positions[3 * k + 1]) / r / 32767, up = normals[4 * k + 2] / 32767;
      const wanted = [-up, outward, up, -outward][edge];
      assert.ok(wanted > 0.9, `place ${place}: ${wanted}`);
    }
  }
});

test("a ring that swells is drawn as many times larger, and smaller after the release but for its pressed side", () => {
  const shape = ring(() => 0.01);
  const outer = (released) => { const { positions } = Shape.solid(shape, 500, released); return [3, 0].map((place) => Math.hypot(positions[3 * place * ANGLES], positions[3 * place * ANGLES + 1])); };
  near(outer(false), [65, 45], 1e-3);
  near(outer(true), [60, 35], 1e-3);
});

test("a part that is pushed and turned moves as a whole while clamped", () => {
  const shape = ring(() => 0, { shift_mm: [0.01, -0.02], tilt_rad: [1e-4, 2e-4] });
  for (const place of [0, 4, 8]) {
    for (const at of [0, 17, 60]) {
      const turn = 2 * Math.PI * at / ANGLES, [u, v, w] = Shape.movement(shape, place, at, false), r = shape.places[2 * place], z = shape.places[2 * place + 1] - 30;
      // The turn (1e-4, 2e-4, 0) crossed with the place, and the shift.
      near([u * Math.cos(turn) - v * Math.sin(turn), u * Math.sin(turn) + v * Math.cos(turn), w],
        [0.01 + 2e-4 * z, -0.02 - 1e-4 * z, 1e-4 * r * Math.sin(turn) - 2e-4 * r * Math.cos(turn)], 1e-12);
      assert.deepEqual(Shape.movement(shape, place, at, true).map(Math.abs), [0, 0, 0]);
    }
  }
});

test("no more is drawn than fits", () => {
  assert.equal(Shape.factor({ largest_um: 50 }, 1000, 60), 200);
  assert.equal(Shape.factor({ largest_um: 50 }, 100, 60), 100);
  assert.equal(Shape.factor({ largest_um: 0 }, 5000, 60), 5000);
  assert.equal(Shape.factor({ largest_um: 50000 }, 5000, 60), 1);
});

test("a soft jaw leans from its seat to its face, a master jaw as its guideway lets it", () => {
  const motion = jaw({ master_mm: -0.04, master_slope: 4e-5, face_mm: -0.03, face_slope: 1.5e-4 });
  const at = (lean, z) => Scene.leant({ lean }, [7, 0, z])[0] - 7;
  const soft = Shape.lean(motion, 100, true, 20, 0), master = Shape.lean(motion, 100, false, 20, -10);
  near(at(soft, 0), 100 * (-0.04 + 4e-5 * 25), 1e-9); // seat: where the master jaw is
  near([at(soft, 20), at(soft, 30), at(soft, 40)], [100 * (-0.03 - 1.5e-3), -3, 100 * (-0.03 + 1.5e-3)], 1e-9);
  near(at(soft, 10), 0.5 * (at(soft, 0) + at(soft, 20)), 1e-9);
  near(at(master, -15), -4, 1e-9); // its own frame begins 10 mm below: this is the guideway's middle
  near(at(master, 10), at(soft, 0), 1e-9);
});
