// @ts-check
"use strict";
/* A solid with fewer triangles and lines, for a picture whose pixels are as wide as the cells that its corners are put
   together in: without a graphics card a picture takes as long as it has triangles. */
/** @typedef {{positions: Float32Array, normals: Int16Array, triangles: Uint16Array | Uint32Array, edges: Float32Array, places?: Float32Array | null}} Surfaces positions and ends of edges in mm */
const Coarse = (() => {
  const SPAN = 1024; // cells along an axis of which a key can tell

  /** The cell that a place (mm) lies in, as one number.
   * @type {(places: Float32Array, k: number, cell: number) => number} */
  function cellOf(places, k, cell) {
    const at = (/** @type {number} */ a) => Math.round(places[3 * k + a] / cell) + SPAN / 2;
    return (at(0) * SPAN + at(1)) * SPAN + at(2);
  }

  /** Which way a surface looks, of 27 ways: what looks elsewhere keeps its own light.
   * @type {(normals: Int16Array, k: number) => number} */
  function wayOf(normals, k) {
    const at = (/** @type {number} */ a) => Math.round(normals[4 * k + a] / 32767) + 1;
    return (at(0) * 3 + at(1)) * 3 + at(2);
  }

  /** The same solid with one place (the first of its corners there) for each cell; what has no width left is dropped.
   * @type {(solid: Surfaces, cell: number) => Surfaces} `cell`: mm */
  function thinned(solid, cell) {
    const { positions, normals } = solid;
    /** @type {Map<number, number>} */
    const firsts = new Map();
    const first = (/** @type {number} */ key, /** @type {number} */ k) => {
      const known = firsts.get(key);
      if (known === undefined) firsts.set(key, k);
      return known === undefined ? k : known;
    };
    const cells = Array.from({ length: positions.length / 3 }, (_, k) => first(cellOf(positions, k, cell), k));
    /** @type {Map<number, number>} */
    const numbers = new Map();
    /** @type {number[]} */
    const kept = [];
    const number = (/** @type {number} */ k) => {
      const key = cells[k] * 27 + wayOf(normals, k), known = numbers.get(key);
      if (known !== undefined) return known;
      numbers.set(key, kept.length);
      return kept.push(k) - 1;
    };
    /** @type {number[]} */
    const triangles = [];
    for (let k = 0; k < solid.triangles.length; k += 3) {
      const [a, b, c] = solid.triangles.subarray(k, k + 3);
      if (cells[a] !== cells[b] && cells[b] !== cells[c] && cells[c] !== cells[a]) triangles.push(number(a), number(b), number(c));
    }
    return {
      positions: Float32Array.from(kept.flatMap((k) => [...positions.subarray(3 * cells[k], 3 * cells[k] + 3)])),
      normals: Int16Array.from(kept.flatMap((k) => [...normals.subarray(4 * k, 4 * k + 4)])),
      triangles: kept.length < 65536 ? Uint16Array.from(triangles) : Uint32Array.from(triangles),
      edges: lines(solid, cell, (key, own) => (firsts.has(key) ? [...positions.subarray(3 * Number(firsts.get(key)), 3 * Number(firsts.get(key)) + 3)] : own)),
      places: solid.places ? Float32Array.from(kept.flatMap((k) => [...Array.prototype.slice.call(solid.places, 2 * k, 2 * k + 2)])) : null,
    };
  }

  /** Lines between places of the cells, each once.
   * @type {(solid: Surfaces, cell: number, place: (key: number, own: number[]) => number[]) => Float32Array} */
  function lines({ edges }, cell, place) {
    const drawn = new Set();
    /** @type {number[]} */
    const found = [];
    /** @type {Map<number, number[]>} */
    const ends = new Map();
    for (let k = 0; k < edges.length / 3; k += 2) {
      const two = [k, k + 1].map((end) => {
        const key = cellOf(edges, end, cell);
        if (!ends.has(key)) ends.set(key, place(key, [...edges.subarray(3 * end, 3 * end + 3)]));
        return key;
      }).sort((a, b) => a - b);
      const name = two.join(" ");
      if (two[0] === two[1] || drawn.has(name)) continue;
      drawn.add(name);
      found.push(...(ends.get(two[0]) || []), ...(ends.get(two[1]) || []));
    }
    return Float32Array.from(found);
  }

  return { thinned };
})();
