// @ts-check
"use strict";
/* The frame's directions as a block in the corner of the picture: it turns with the setup; a click on a side looks from there. */
const Cube = (() => {
  const HALF = 21, MIDDLE = 46; // pixels
  const WORDS = { tailstock: "tail", headstock: "chuck", above: "jaw 1", below: "below", side: "side", "far side": "far" };

  /** The sides of the block: what is written on each, and its frame as it is seen from there. */
  const SIDES = Object.entries(WORDS).map(([from, words]) => {
    const { right, up, back } = Camera.axes({ ...Camera.first(), yaw: Camera.NAMED[from][0], pitch: Camera.NAMED[from][1] });
    return { from, words, normal: back, across: right, up };
  });

  /** Where a direction of length 1 leads in the picture, pixels to the right and down.
   * @type {(axes: Axes, direction: Vector) => [number, number]} */
  const flat = (axes, direction) => [Linear.dot(direction, axes.right), -Linear.dot(direction, axes.up)];

  /** The sides that are seen, each with its matrix from its own plane (pixels) to the picture.
   * @type {(axes: Axes) => {from: string, words: string, matrix: number[], facing: number}[]} */
  function seen(axes) {
    return SIDES.map((side) => {
      const facing = Linear.dot(side.normal, axes.back);
      const [ax, ay] = flat(axes, side.across), [ux, uy] = flat(axes, side.up), [nx, ny] = flat(axes, side.normal);
      return { from: side.from, words: side.words, facing, matrix: [ax, ay, -ux, -uy, MIDDLE + HALF * nx, MIDDLE + HALF * ny] };
    }).filter((side) => side.facing > 0.03);
  }

  /** `look(name)` looks from a named direction. */
  function create(view, look) {
    const NS = "http://www.w3.org/2000/svg";
    const svg = document.createElementNS(NS, "svg");
    svg.setAttribute("class", "cube");
    svg.setAttribute("aria-hidden", "true"); // the same views are buttons and keys
    svg.setAttribute("viewBox", `0 0 ${2 * MIDDLE} ${2 * MIDDLE}`);
    view.append(svg);
    const made = Object.fromEntries(SIDES.map((side) => {
      const group = document.createElementNS(NS, "g"), box = document.createElementNS(NS, "rect"), text = document.createElementNS(NS, "text");
      for (const [key, value] of [["x", -HALF], ["y", -HALF], ["width", 2 * HALF], ["height", 2 * HALF]]) box.setAttribute(String(key), String(value));
      text.textContent = side.words;
      text.setAttribute("text-anchor", "middle");
      text.setAttribute("y", "4");
      group.append(box, text);
      group.dataset.from = side.from;
      group.addEventListener("click", () => look(side.from));
      return [side.from, group];
    }));
    // A press here is no drag of the picture behind it.
    svg.addEventListener("pointerdown", (event) => event.stopPropagation());
    svg.addEventListener("dblclick", (event) => event.stopPropagation());

    return (axes) => {
      svg.replaceChildren(...seen(axes).map((side) => {
        made[side.from].setAttribute("transform", `matrix(${side.matrix.map((v) => v.toFixed(3)).join(" ")})`);
        return made[side.from];
      }));
    };
  }

  return { create, seen };
})();
