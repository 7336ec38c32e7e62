// @ts-check
"use strict";
/* What lies under the pointer, and measures between two such points. A measured point belongs to its body: it moves with
   it, and the distance is that of the setup as it stands, even when the scene is pulled apart. */
/** @typedef {{positions: ArrayLike<number>, triangles: ArrayLike<number>}} Solid three numbers a corner, three corners a triangle */
/** @typedef {{body: any, geometry: string, look: string, matrix: Matrix, pressure?: number, whole?: boolean, lines?: boolean}} Item */
/** @typedef {{t: number, corners: Vector[], facing: boolean}} Crossing t: mm along the ray */
/** @typedef {{t: number, item: Item, corners: Vector[], point: Vector}} Hit */
/** @typedef {{body: any, local: Vector}} Anchor */
const Picking = (() => {
  const SNAP = 9; // pixels within which a corner is taken instead of the point on the face

  /** How far along a ray it meets a triangle; Infinity where it does not.
   * @type {(from: Vector, along: Vector, a: Vector, b: Vector, c: Vector) => number} */
  function triangleHit(from, along, a, b, c) {
    const e1 = Linear.sub(b, a), e2 = Linear.sub(c, a);
    const p = Linear.cross(along, e2);
    const det = Linear.dot(e1, p);
    if (Math.abs(det) < 1e-12) return Infinity;
    const t = Linear.sub(from, a);
    const u = Linear.dot(t, p) / det;
    if (u < -1e-9 || u > 1 + 1e-9) return Infinity;
    const q = Linear.cross(t, e1);
    const v = Linear.dot(along, q) / det;
    if (v < -1e-9 || u + v > 1 + 1e-9) return Infinity;
    return Linear.dot(e2, q) / det;
  }

  /** @type {(positions: ArrayLike<number>, index: number) => Vector} */
  function corner(positions, index) {
    return [positions[3 * index], positions[3 * index + 1], positions[3 * index + 2]];
  }

  /** All crossings of a ray with a body, in its own frame.
   * @type {(solid: Solid, from: Vector, along: Vector) => Crossing[]} */
  function crossings(solid, from, along) {
    /** @type {Crossing[]} */
    const hits = [];
    const { positions, triangles } = solid;
    for (let k = 0; k < triangles.length; k += 3) {
      const [a, b, c] = [corner(positions, triangles[k]), corner(positions, triangles[k + 1]), corner(positions, triangles[k + 2])];
      const t = triangleHit(from, along, a, b, c);
      if (t > 0 && t < Infinity) hits.push({ t, corners: [a, b, c], facing: Linear.dot(Linear.cross(Linear.sub(b, a), Linear.sub(c, a)), along) < 0 });
    }
    return hits.sort((x, y) => x.t - y.t);
  }

  /** Nearest point of what is seen along a ray, cut faces included; null where nothing is.
   * @type {(scene: {shapes: Record<string, Solid>}, items: Item[], ray: Ray, cut: number[] | null, also?: number[] | null) => Hit | null} */
  function hit(scene, items, ray, cut, also = null) {
    const planes = cut ? (also ? [cut, also] : [cut]) : [];
    /** @type {(t: number) => boolean} */
    const removed = (t) => planes.length > 0 && planes.every((plane) => Linear.dot(plane, Linear.add(ray.from, Linear.scale(ray.along, t))) > plane[3] + 1e-7);
    // Where the ray comes out of what is taken away: the first plane that it crosses downward, unless it starts outside.
    const down = planes.map((plane) => ({ slope: Linear.dot(plane, ray.along), t: (plane[3] - Linear.dot(plane, ray.from)) / Linear.dot(plane, ray.along) }));
    const toPlane = Math.min(Infinity, ...down.filter((one) => planes.length < 2 || one.slope < 0).map((one) => one.t));
    /** @type {{t: number, item: Item, corners: Vector[]} | null} */
    let best = null;
    for (const item of items) {
      if (item.pressure !== undefined || item.look !== "solid" || !scene.shapes[item.geometry].triangles.length) continue;
      const solid = scene.shapes[item.geometry];
      const found = crossings(solid, Linear.movedBack(item.matrix, ray.from), Linear.turnedBack(item.matrix, ray.along));
      const seen = found.find((h) => item.whole || !removed(h.t));
      if (!seen) continue;
      // The first face that is left is seen from inside: the ray entered the solid through the cut face.
      const opened = cut && !item.whole && !seen.facing && toPlane > 0 && toPlane < seen.t;
      const t = opened ? toPlane : seen.t;
      if (!best || t < best.t) best = { t, item, corners: opened ? [] : seen.corners };
    }
    if (!best) return null;
    return { ...best, point: Linear.add(ray.from, Linear.scale(ray.along, best.t)) };
  }

  /** The corner of the hit triangle that is seen within a few pixels of the pointer, else the point hit.
   * @type {(found: Hit, matrix: Matrix, x: number, y: number, width: number, height: number) => Vector} */
  function snapped(found, matrix, x, y, width, height) {
    let best = found.point, least = SNAP;
    for (const c of found.corners) {
      const point = Linear.moved(found.item.matrix, c);
      const seen = Camera.projected(matrix, point, width, height);
      const away = Math.hypot(seen.x - x, seen.y - y);
      if (away < least) { least = away; best = point; }
    }
    return best;
  }

  /** A point that stays on its body.
   * @type {(found: Hit, point: Vector) => Anchor} */
  const anchor = (found, point) => ({ body: found.item.body, local: Linear.movedBack(found.item.matrix, point) });

  /** Distances between two points of the setup as it stands.
   * @type {(a: Vector, b: Vector) => {distance: number, x: number, y: number, z: number, radius: number}} */
  function between(a, b) {
    const d = Linear.sub(b, a);
    return {
      distance: Linear.length(d), x: d[0], y: d[1], z: d[2],
      radius: Math.hypot(b[0], b[1]) - Math.hypot(a[0], a[1]),
    };
  }

  return { hit, snapped, anchor, between };
})();
