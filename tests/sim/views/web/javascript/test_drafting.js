/* Steps of typing, undone and made again, against a program that answers what it is told. */
import assert from "node:assert/strict";
import test from "node:test";
import { Drafting } from "./page.js";

const place = ["chuck", "stroke"];
const typed = (value, where = place) => [{ what: "set", place: where, value }];

/** A draft before a program that keeps what it is sent; `refuse(name, question)` may throw. */
function made(refuse = () => {}) {
  const sent = [], notes = [];
  let edits = [], saved = [], revision = 0, base = "0";
  const draft = Drafting.create({ shown: () => {}, pending: () => {}, note: (words) => { if (words) notes.push(words); } }, (name, question) => {
    sent.push([name, question && question.edits]);
    try { refuse(name, question); } catch (error) { return Promise.reject(error); }
    if (name === "edit") { ({ edits } = question); revision += 1; }
    if (name === "save") { saved = edits; base += "1"; }
    return Promise.resolve({ base, revision, judged_as: revision, edits, saved: saved.length, unsaved: JSON.stringify(edits) !== JSON.stringify(saved), outside: false, values: {}, full: {}, faults: [] });
  });
  return { draft, sent, notes, edits: () => edits.map((one) => one.value), set: (list) => { edits = list; revision += 1; } };
}

test("what is typed on one field is one step, and undone at once", async () => {
  const { draft, edits } = made();
  await draft.refresh();
  draft.change(typed("6"), { typing: true });
  draft.change(typed("6 "), { typing: true });
  draft.change(typed("6 mm"), { typing: true });
  draft.rest();
  await draft.settled();
  assert.deepEqual([draft.steps, edits()], [1, ["6 mm"]]);
  draft.change(typed("7 mm"), { typing: true }); // the field was left in between: a step of its own
  draft.change(typed("8 mm", ["boring", "travel"]));
  await draft.settled();
  assert.deepEqual(edits(), ["6 mm", "7 mm", "8 mm"]);
  draft.undo();
  draft.undo();
  await draft.settled();
  assert.deepEqual([draft.steps, draft.undone, edits()], [1, 2, ["6 mm"]]);
  draft.redo();
  await draft.settled();
  assert.deepEqual(edits(), ["6 mm", "7 mm"]);
  draft.change(typed("9 mm"));
  await draft.settled();
  assert.equal(draft.undone, 0); // what was undone is gone with another change
});

test("a step of several changes goes and comes as a whole", async () => {
  const { draft, edits } = made();
  await draft.refresh();
  draft.change([...typed("1 mm", ["a"]), ...typed("2 mm", ["b"])]);
  draft.undo();
  await draft.settled();
  assert.deepEqual(edits(), []);
  draft.redo();
  await draft.settled();
  assert.deepEqual(edits(), ["1 mm", "2 mm"]);
});

test("saving first sends what still waits", async () => {
  const { draft, sent } = made();
  await draft.refresh();
  draft.change(typed("6 mm"), { typing: true });
  draft.save();
  await draft.settled();
  assert.deepEqual(sent.map(([name]) => name), ["draft", "edit", "save"]);
  assert.deepEqual([draft.steps, draft.unsaved, draft.stated.unsaved], [1, 0, false]);
});

test("what was saved can be undone, and made again", async () => {
  const { draft, edits } = made();
  await draft.refresh();
  draft.change(typed("6 mm"));
  draft.change(typed("7 mm", ["boring", "travel"]));
  draft.save();
  await draft.settled();
  draft.change(typed("8 mm", ["boring", "speed"]));
  await draft.settled();
  assert.deepEqual([draft.steps, draft.unsaved, draft.stated.unsaved], [3, 1, true]);
  draft.undo();
  await draft.settled();
  assert.deepEqual([draft.unsaved, draft.stated.unsaved], [0, false]); // as it was saved
  draft.undo();
  await draft.settled();
  assert.deepEqual([edits(), draft.unsaved, draft.stated.unsaved], [["6 mm"], 0, true]);
  draft.redo();
  await draft.settled();
  assert.deepEqual([edits(), draft.stated.unsaved], [["6 mm", "7 mm"], false]);
});

test("a change that is refused is named and taken back, the others stay", async () => {
  const { draft, notes, edits } = made((name, question) => {
    if (name === "edit" && question.edits.some((one) => one.value === "bad")) throw Object.assign(new Error("it has no place"), { status: 422 });
  });
  await draft.refresh();
  draft.change(typed("6 mm"));
  draft.change(typed("bad", ["boring", "travel"]));
  await draft.settled();
  assert.deepEqual([draft.steps, edits()], [1, ["6 mm"]]);
  assert.match(notes[0], /boring\.travel = bad: it has no place/);
});

test("overtaken by another tab the form shows that tab's changes and says what was not taken", async () => {
  let overtaken = false;
  const { draft, notes, set } = made((name) => { if (name === "edit" && overtaken) { overtaken = false; throw Object.assign(new Error("another tab has changed it"), { status: 409 }); } });
  await draft.refresh();
  set(typed("of the other tab"));
  overtaken = true;
  draft.change(typed("mine"));
  await draft.settled();
  assert.equal(draft.steps, 1);
  assert.deepEqual(draft.stated.edits, typed("of the other tab"));
  assert.match(notes[0], /another tab has changed it.*chuck\.stroke = mine/);
});

test("without the program what is typed is kept and sent with the next change", async () => {
  let gone = true;
  const { draft, notes, edits } = made((name) => { if (name === "edit" && gone) throw new Error("no network"); });
  await draft.refresh();
  draft.change(typed("6 mm"));
  await draft.settled();
  assert.match(notes[0], /cannot be reached/);
  gone = false;
  draft.change(typed("3 mm", ["boring", "travel"]));
  await draft.settled();
  assert.deepEqual(edits(), ["6 mm", "3 mm"]);
});
