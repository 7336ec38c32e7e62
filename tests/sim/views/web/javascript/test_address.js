/* The state behind the # of an address: there and back, and what is not understood is not taken. */
import assert from "node:assert/strict";
import test from "node:test";
import { Address } from "./page.js";

const kept = {
  stage: "first side", values: { "first side": { pressure_bar: 21.5, spindle_angle_rad: 0.3 }, "second & last": { speed_rpm: 1200, pressure_bar: 0.1 + 0.2 }, third: { speed_rpm: 900 } },
  moved: { "first side": { pressure_bar: 21.5 }, "second & last": { speed_rpm: 700 } },
  section: { plane: "across", at: -10 / 3, flipped: true }, apart: 0.4, shape: { by: 7, released: true },
  looks: { "first side": { workpiece: "glass", "soft jaws": "hidden" } }, marked: ["soft jaws", "a & b"], about: "first side:grip left",
  eye: [1, -2, 3.5, 1e-16, -0.95, 0.1 + 0.2, 0.42], units: "inch", light: "dark", flags: ["plain"],
};
const empty = { stage: "", values: {}, moved: {}, section: null, apart: 0, shape: null, looks: {}, marked: [], about: "", eye: null, units: "", light: "", flags: [] };

test("there and back", () => {
  assert.deepEqual(Address.read(`#${Address.written(kept)}`), kept);
  const bare = { ...empty, stage: "boring" };
  assert.deepEqual(Address.read(Address.written(bare)), bare);
});

test("what is not understood is not taken", () => {
  const nothing = empty;
  for (const text of ["", "#", "#plain2", "#section=inside 3", "#section=toString 3", "#section=across", "#section=across x", "#eye=1 2 3", "#eye=1 2 3 4 5 x", "#a:speed_rpm=fast", "#a:speed_rpm=",
    "#:speed_rpm=3", "#apart=x", "#units=furlong", "#light=dim", "#shape=0", "#shape=x", "#glass=workpiece", "#a:speed_rpm=900 sight", "#a:speed_rpm=900 set x", "#a:travel_mm=2 seen", "#eye=NaN 0 0 1 0 0", "#a:b=Infinity"]) {
    assert.deepEqual(Address.read(text), nothing, text);
  }
  assert.equal(Address.read("#apart=7").apart, 1);
  const whole = { ...nothing, section: { plane: "", at: 0, flipped: false } }; // no section is a state, too
  assert.deepEqual(Address.read(`#${Address.written(whole)}`), whole);
  assert.deepEqual(Address.read("#plain&edit").flags, ["plain", "edit"]);
});

test("a speed that was set is judged, one that is only shown is not", () => {
  const read = (words) => { const { values, moved } = Address.read(`#a:speed_rpm=${words}`); return [values.a.speed_rpm, (moved.a || {}).speed_rpm]; };
  assert.deepEqual(read("900"), [900, 900]);
  assert.deepEqual(read("900 seen"), [900, undefined]);
  assert.deepEqual(read("900 set 700"), [900, 700]);
});

test("sliders stand where they stood: what is not named as stated, a pocket bored otherwise in all its steps", () => {
  const one = (key, more) => ({ key, pocket: "ring", sizes: { middle: 100 }, touches: { middle: 2 }, bored_touches: [{ middle: 2 }, { middle: 2.5 }], stops: { bore_mm: [100, 101] },
    ranges: { travel_mm: [0, 4, 0.01], speed_rpm: [0, 2000, 10], bore_mm: [100, 101, 1] }, values: { travel_mm: 2, speed_rpm: 900, bore_mm: 100, gripped_diameter_mm: 100 }, ...more });
  const s = { scene: { data: { stages: [one("a"), one("b")] } }, values: { a: { travel_mm: 1 } }, moved: { a: { speed_rpm: 1 } } };
  const found = Address.placed(s, Address.read("#stage=a&a:travel_mm=0.25&a:bore_mm=101&a:speed_rpm=500 set 700&b:speed_rpm=0 seen"));
  assert.deepEqual(found.values.a, { travel_mm: 0.25, speed_rpm: 500, bore_mm: 101, gripped_diameter_mm: 100 });
  assert.deepEqual(found.values.b, { travel_mm: 2, speed_rpm: 0, bore_mm: 101, gripped_diameter_mm: 100 });
  assert.deepEqual(found.moved, { a: { bore_mm: 101, speed_rpm: 700 }, b: { bore_mm: 101 } });
});

test("only values that the sliders of a stage can take are allowed", () => {
  const stage = {
    ranges: { travel_mm: [0, 5, 0.01], speed_rpm: [0, 2000, 10], bore_mm: [100, 101, 0.01] }, stops: { bore_mm: [100, 100.5, 101] }, fixed: { travel_mm: "bored here" },
    sizes: { smallest: 99.9, middle: 100, largest: 100.1 }, side_force_N: 850,
  };
  const wanted = { travel_mm: 2, speed_rpm: 1500, bore_mm: 100.5, gripped_diameter_mm: 100.1, side_force_N: 850, spindle_angle_rad: 1, nothing: 3 };
  assert.deepEqual(Object.fromEntries(Address.allowed(stage, wanted)), { speed_rpm: 1500, bore_mm: 100.5, gripped_diameter_mm: 100.1, side_force_N: 850, spindle_angle_rad: 1 });
  assert.deepEqual(Address.allowed(stage, { side_force_N: 0, spindle_angle_rad: 2 * Math.PI }).length, 2);
  assert.deepEqual(Address.allowed(stage, { speed_rpm: 2001, bore_mm: 100.2, gripped_diameter_mm: 100.05, side_force_N: 1, spindle_angle_rad: 7 }), []);
});

test("of the sliders those are kept that stand elsewhere than stated", () => {
  const s = {
    scene: { data: { stages: [{ key: "one", values: { travel_mm: 1, speed_rpm: 400 } }, { key: "two", values: { travel_mm: 0, speed_rpm: 900 } }] } },
    values: { one: { travel_mm: 1, speed_rpm: 500 }, two: { travel_mm: 0, speed_rpm: 900 } }, moved: { one: { speed_rpm: 400 }, two: { speed_rpm: 700 } },
    looks: { one: { workpiece: "glass", chuck: "solid" }, two: {} }, marked: [], about: { stage: "one", key: "slip" }, shape: { by: 0, released: false },
    stage: { key: "two" }, section: { plane: "", at: 0, flipped: false }, apart: 0, view: { focus: [0, 0, 0], distance: 5, yaw: 1, pitch: 2, angle: 0.4 },
  };
  const found = Address.of(s, []);
  assert.deepEqual(found.values, { one: { speed_rpm: 500 }, two: { speed_rpm: 900 } });
  assert.deepEqual(found.moved, { two: { speed_rpm: 700 } });
  assert.deepEqual([found.stage, found.section, found.eye], ["two", { plane: "", at: 0, flipped: false }, [0, 0, 0, 5, 1, 2, 0.4]]);
  assert.deepEqual([found.looks, found.about, found.shape], [{ one: { workpiece: "glass" } }, "one:slip", null]);
  assert.match(Address.written(found), /one%3Aspeed_rpm=500\+seen&two%3Aspeed_rpm=900\+set\+700/);
});
