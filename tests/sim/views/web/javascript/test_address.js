/* The state behind the # of an address: there and back, and what is not understood is not taken. */
import assert from "node:assert/strict";
import test from "node:test";
import { Address } from "./page.js";

const kept = {
  stage: "first side", values: { "first side": { pressure_bar: 21.5, spindle_angle_rad: 0.3 }, "second & last": { speed_rpm: 1200 } },
  section: { plane: "across", at: -3.25, flipped: true }, apart: 0.4, eye: [1, -2, 3.5, 640, -0.95, 0.36], units: "inch", flags: ["plain"],
};

test("there and back", () => {
  assert.deepEqual(Address.read(`#${Address.written(kept)}`), kept);
  const bare = { stage: "boring", values: {}, section: null, apart: 0, eye: null, units: "", flags: [] };
  assert.deepEqual(Address.read(Address.written(bare)), bare);
});

test("what is not understood is not taken", () => {
  const nothing = { stage: "", values: {}, section: null, apart: 0, eye: null, units: "", flags: [] };
  for (const text of ["", "#", "#plain2", "#section=inside 3", "#section=toString 3", "#section=across", "#section=across x", "#eye=1 2 3", "#eye=1 2 3 4 5 x", "#a:speed_rpm=fast", "#a:speed_rpm=",
    "#:speed_rpm=3", "#apart=x", "#units=furlong", "#eye=NaN 0 0 1 0 0", "#a:b=Infinity"]) {
    assert.deepEqual(Address.read(text), nothing, text);
  }
  assert.equal(Address.read("#apart=7").apart, 1);
  const whole = { ...nothing, section: { plane: "", at: 0, flipped: false } }; // no section is a state, too
  assert.deepEqual(Address.read(`#${Address.written(whole)}`), whole);
  assert.deepEqual(Address.read("#plain&edit").flags, ["plain", "edit"]);
});

test("only values that the sliders of a stage can take are allowed", () => {
  const stage = {
    ranges: { travel_mm: [0, 5, 0.01], speed_rpm: [0, 2000, 10], bore_mm: [100, 101, 0.01] }, stops: { bore_mm: [100, 100.5, 101] }, fixed: { travel_mm: "bored here" },
    sizes: { smallest: 99.9, middle: 100, largest: 100.1 }, side_force_N: 850,
  };
  const wanted = { travel_mm: 2, speed_rpm: 1500, bore_mm: 100.5, gripped_diameter_mm: 100.1, side_force_N: 850, spindle_angle_rad: 1, nothing: 3 };
  assert.deepEqual(Object.fromEntries(Address.allowed(stage, wanted)), { speed_rpm: 1500, bore_mm: 100.5, gripped_diameter_mm: 100.1, side_force_N: 850, spindle_angle_rad: 1 });
  assert.deepEqual(Address.allowed(stage, { speed_rpm: 2001, bore_mm: 100.2, gripped_diameter_mm: 100.05, side_force_N: 1, spindle_angle_rad: 7 }), []);
});

test("of the sliders those are kept that stand elsewhere than stated", () => {
  const s = {
    scene: { data: { stages: [{ key: "one", values: { travel_mm: 1, speed_rpm: 400 } }, { key: "two", values: { travel_mm: 0 } }] } },
    values: { one: { travel_mm: 1, speed_rpm: 500 }, two: { travel_mm: 0 } }, stage: { key: "two" }, section: { plane: "", at: 0, flipped: false }, apart: 0,
    view: { focus: [0, 0, 0], distance: 5, yaw: 1, pitch: 2, angle: 0.4 },
  };
  const found = Address.of(s, []);
  assert.deepEqual(found.values, { one: { speed_rpm: 500 } });
  assert.deepEqual([found.stage, found.section, found.eye], ["two", { plane: "", at: 0, flipped: false }, [0, 0, 0, 5, 1, 2]]);
});
