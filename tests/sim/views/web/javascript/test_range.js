/* The range of the pressures' colours against a count by hand. */
import assert from "node:assert/strict";
import test from "node:test";
import { Range, near } from "./page.js";

test("one band at an edge does not set the range, a tenth of the area does", () => {
  const bands = Array(200).fill(20);
  bands[0] = 400;
  assert.equal(Range.top(bands), 20);
  assert.equal(Range.top([...Array(180).fill(20), ...Array(20).fill(45)]), 50);
});

test("open contact is no part of the touching area", () => {
  assert.equal(Range.top([...Array(960).fill(0), ...Array.from({ length: 40 }, (_, k) => k + 1)]), 40);
  assert.equal(Range.top([0, 0]), 1);
  near(Range.bare([3, 50, 7]), 0.5);
});

test("ranges end with round figures that are not less", () => {
  for (const [value, end] of [[0.7, 0.8], [1, 1], [1.01, 1.5], [216, 300], [91, 100], [0, 1]]) near(Range.roundedUp(value), end, 1e-12);
});

test("a quarter of the range has the middle colour", () => near([Range.share(12.5, 50), Range.share(80, 50), Range.share(-1, 50)], [0.5, 1, 0]));
