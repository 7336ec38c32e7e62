/* Plots as tables, and names of files. */
import assert from "node:assert/strict";
import test from "node:test";
import { Saving } from "./page.js";

test("a curve becomes one row a point; nothing is a formula to a spreadsheet", () => {
  const axes = [{ title: "Grip", across: "spindle speed, rev/min", series: [{ name: "=jaw 1", xs: [0, 100], ys: [12.5, null] }, { name: 'a "b", c', xs: [-3], ys: [-4] }] }, { title: "map" }];
  assert.equal(Saving.table(axes), ['plot,curve,across,x,y', 'Grip,\'=jaw 1,"spindle speed, rev/min",0,12.5', 'Grip,\'=jaw 1,"spindle speed, rev/min",100,',
    'Grip,"a ""b"", c","spindle speed, rev/min",-3,-4', ""].join("\r\n"));
  for (const begin of ["=", "+", "-", "@"]) assert.equal(Saving.cell(`${begin}1`), `'${begin}1`);
});

test("a file's name has letters, digits and lines alone", () => {
  assert.equal(Saving.named("Cast hub, Ø 120 / ../x", "First side", "png"), "cast_hub_120_x_first_side.png");
  assert.equal(Saving.named("…", "", "csv"), "picture.csv");
});
