/* The page's scripts without the page: put together in the order in which the page has them, and run. What they share
   is handed out by name. None of them may ask for a document before it is told to start. */
import { readFileSync } from "node:fs";
import vm from "node:vm";

const web = new URL("../../../../../sim/views/web/", import.meta.url);
const source = readFileSync(new URL("document.py", web), "utf8");
const listed = (name) => [...source.match(new RegExp(`^${name} = \\(([^)]*)\\)`, "m"))[1].matchAll(/"([a-z]+\.js)"/g)].map((found) => found[1]);
const names = [...listed("SCRIPTS"), ...listed("EDITING")];
const texts = names.map((name) => readFileSync(new URL(`assets/${name}`, web), "utf8"));
vm.runInThisContext(texts.join("\n"), { filename: "page.js" });

const SHARED = "Linear, Camera, Units, Range, Scene, Coarse, Picking, Changed, Grip, Opening, Cube, Address, Saving, Moments, Shape, Outline, Drafting";
export const { Linear, Camera, Units, Range, Scene, Coarse, Picking, Changed, Grip, Opening, Cube, Address, Saving, Moments, Shape, Outline, Drafting } = vm.runInThisContext(`({ ${SHARED} })`);

/** Whether numbers, or lists of them, are equal but for rounding; `least` is the largest difference allowed. */
export function near(found, wanted, least = 1e-9) {
  const [a, b] = [[found].flat(Infinity), [wanted].flat(Infinity)];
  const equal = a.length === b.length && a.every((value, k) => Math.abs(value - b[k]) <= least);
  if (!equal) throw new Error(`${JSON.stringify(found)} is not ${JSON.stringify(wanted)} within ${least}`);
}
