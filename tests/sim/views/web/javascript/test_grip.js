/* What each jaw's grip is called: never enough where it is not, and nothing where nothing holds of the state. */
import assert from "node:assert/strict";
import test from "node:test";
import { Changed, Grip, Opening } from "./page.js";

const stage = { key: "0", name: "first side", touches: { middle: 3 }, sizes: { middle: 60 }, safety: 1.5, pocket: "0", values: { pressure_bar: 20, speed_rpm: 1000 } };
const found = { stage: "0", gripped: true, held: true, grip_N: [3000, 3000, 3000], needed_N: 6000 };

/** A page's state with figures, by default those of the state shown. */
function shown({ figures = {}, verdicts = [], moved = {}, ...more } = {}) {
  const data = { version: 1, stages: [stage], verdicts, counts: {}, status: "pass", colours: { enough: "#000001", scarce: "#000002", "too little": "#000003" } };
  const s = { scene: { data }, stage, values: { 0: { travel_mm: 3, gripped_diameter_mm: 60, ...stage.values } }, moved, file: null, live: false, refused: null, late: false, judged: null, ...more };
  const key = JSON.stringify([1, "0", Object.entries(s.values[0]).sort(([a], [b]) => (a < b ? -1 : 1)), [], []]);
  return { ...s, answer: { key, version: 1, found: { ...found, ...figures } } };
}

test("a jaw has enough from the safety asked for on, and is too little below a third of what the cuts need", () => {
  assert.deepEqual(Grip.kinds(shown({ figures: { grip_N: [3000, 2999, 1999] } })), ["enough", "scarce", "too little"]);
  assert.deepEqual(Grip.kinds(shown({ figures: { grip_N: [0, 2000, 9000] } })), ["not held", "scarce", "enough"]);
  assert.deepEqual(Grip.tints(shown({ figures: { grip_N: [0, 2000, 9000] } })), ["#000003", "#000002", "#000001"]);
});

test("what speed adds to jaws that press outward counts for no holding", () => {
  // 9 kN at rest are scarce for 6.3; 12 kN at speed would be enough.
  const inside = { grip_N: [4000, 4000, 4000], total_N: 12000, rest_total_N: 9000, needed_N: 6300 };
  assert.deepEqual(Grip.kinds(shown({ figures: inside })), Array(3).fill("scarce"));
  assert.deepEqual(Grip.kinds(shown({ figures: { ...inside, rest_total_N: 12000 } })), Array(3).fill("enough"));
  assert.equal(Grip.counted({ total_N: 7000, rest_total_N: 9000 }), 1); // what speed takes is gone
});

test("a part that is not held is held by no jaw, whatever presses on it", () => {
  assert.deepEqual(Grip.kinds(shown({ figures: { held: false } })), Array(3).fill("not held"));
});

test("where a verdict on the grip fails no jaw has enough", () => {
  const fails = { key: "holding_factor", stage: "first side", status: "fail" };
  assert.deepEqual(Grip.kinds(shown({ verdicts: [fails] })), Array(3).fill("scarce"));
  assert.deepEqual(Grip.kinds(shown({ verdicts: [{ ...fails, stage: "second side" }] })), Array(3).fill("enough"));
  assert.deepEqual(Grip.kinds(shown({ verdicts: [{ ...fails, key: "tool_contact" }] })), Array(3).fill("enough"));
});

test("open jaws and a state that was refused have the colour of their metal", () => {
  assert.deepEqual(Grip.kinds(shown({ values: { 0: { travel_mm: 1, gripped_diameter_mm: 60, ...stage.values } } })), [null, null, null]);
  const other = shown();
  other.values = { 0: { ...other.values[0], speed_rpm: 2500 } };
  assert.deepEqual(Grip.kinds({ ...other, late: true }), [null, null, null]);
  assert.deepEqual(Grip.kinds({ ...shown(), file: { lost: true, version: 1, mistake: "", judging: false, revision: 0, wanted: null, typing: false } }), [null, null, null]);
});

test("the page opens on the worst that does not pass, failing before warning", () => {
  const [warn, fail, pass] = ["warn", "fail", "pass"].map((status) => ({ status }));
  assert.equal(Opening.worst([warn, fail, pass]), fail);
  assert.equal(Opening.worst([warn, pass]), warn);
  assert.equal(Opening.worst([pass]), null);
});

test("what is changed is said with its unit, and what was set back is not", () => {
  const words = (moved) => Changed.words(shown({ moved })).map((text) => text.replaceAll("\u00a0", " "));
  assert.deepEqual(words({}), []);
  assert.deepEqual(words({ 0: { speed_rpm: 1000 } }), []);
  assert.deepEqual(words({ 0: { speed_rpm: 2500, pressure_bar: 20 } }), ["speed 2500 rev/min"]);
});

test("undo goes back one slider at a time, redo forth again, and a new change ends the way forth", () => {
  const s = shown();
  const set = (speed) => { changes.before("speed_rpm"); s.values = { 0: { ...s.values[0], speed_rpm: speed } }; };
  const changes = Changed.create(s, (values, moved) => Object.assign(s, { values, moved }));
  set(1200);
  set(1300); // the same slider at once: one step
  changes.before("pressure_bar");
  s.values = { 0: { ...s.values[0], pressure_bar: 10 } };
  changes.undo();
  assert.deepEqual([s.values[0].speed_rpm, s.values[0].pressure_bar], [1300, 20]);
  changes.undo();
  assert.deepEqual([s.values[0].speed_rpm, changes.past, changes.future], [1000, 0, 2]);
  changes.undo(); // nothing is left
  changes.redo();
  assert.equal(s.values[0].speed_rpm, 1300);
  set(900);
  assert.equal(changes.future, 0);
});
