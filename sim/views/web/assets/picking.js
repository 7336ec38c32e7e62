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

  const ROUND = 1e-3; // mm by which radii of one circle may differ in what is drawn
  const CHORD = 12 * Math.PI / 180; // rad that a chord of a drawn circle spans at most; a flat side may span more
  const radius = (/** @type {Vector} */ p) => Math.hypot(p[0], p[1]);
  /** A point moved out or in to a radius about the spindle.
   * @type {(p: Vector, to: number) => Vector} */
  const onRadius = (p, to) => (radius(p) > 0 ? [p[0] * to / radius(p), p[1] * to / radius(p), p[2]] : p);

  /** The radius of the circle or cylinder about the spindle that a few corners stand for; 0 where they stand for none. Corners of
   * drawn circles stand a little out, so that the polygon has the circle's area.
   * @type {(corners: Vector[]) => number} */
  function roundness(corners) {
    const [first] = corners, one = first && radius(first);
    if (!one) return 0;
    const turn = (/** @type {Vector} */ p) => Math.abs(Math.atan2(first[0] * p[1] - first[1] * p[0], first[0] * p[0] + first[1] * p[1]));
    const step = Math.max(...corners.map(turn));
    const round = corners.every((p) => Math.abs(radius(p) - one) < ROUND) && step < CHORD && step > 0;
    return round ? one * Math.sqrt(Math.sin(step) / step) : 0;
  }

  /** The place of a straight line that is seen nearest to the pointer, as a share of it.
   * @type {(a: {x: number, y: number}, b: {x: number, y: number}, x: number, y: number) => number} */
  function nearest(a, b, x, y) {
    const dx = b.x - a.x, dy = b.y - a.y, long = dx * dx + dy * dy;
    return long > 0 ? Math.max(0, Math.min(1, ((x - a.x) * dx + (y - a.y) * dy) / long)) : 0;
  }

  /** What the pointer means: a corner of the hit triangle or the nearest edge of its body that are seen within a few pixels, else
   * the point hit. Chords of circles about the spindle, and facets of cylinders about it, stand for the circle and the cylinder.
   * @type {(found: Hit, matrix: Matrix, x: number, y: number, width: number, height: number, edges?: ArrayLike<number>) => Vector} */
  function snapped(found, matrix, x, y, width, height, edges = []) {
    const seen = (/** @type {Vector} */ point) => Camera.projected(matrix, point, width, height);
    const corners = found.corners.map((c) => Linear.moved(found.item.matrix, c));
    const edge = nearestEdge(found, seen, x, y, edges);
    if (edge && edge.circle) return edge.point;
    let best = null, least = SNAP;
    for (const point of corners) {
      const { x: px, y: py } = seen(point), away = Math.hypot(px - x, py - y);
      if (away < least) { least = away; best = point; }
    }
    if (best) return best;
    return edge ? edge.point : onWall(found);
  }

  /** The point hit, on the cylinder about the spindle for which a hit facet stands.
   * @type {(found: Hit) => Vector} */
  function onWall(found) {
    const corners = found.corners.map((c) => Linear.moved(found.item.matrix, c));
    const across = corners.every((p) => Math.abs(p[2] - corners[0][2]) < ROUND), wall = across ? 0 : roundness(corners);
    return wall ? onRadius(found.point, wall) : found.point;
  }

  /** The drawn edge of a hit body that is seen nearest to the pointer, within a few pixels and not behind what was hit.
   * @type {(found: Hit, seen: (p: Vector) => {x: number, y: number, seen: boolean}, x: number, y: number, edges: ArrayLike<number>) => {point: Vector, circle: boolean} | null} */
  function nearestEdge(found, seen, x, y, edges) {
    let best = null, least = SNAP;
    const reach = nearMiss(found, seen);
    for (let k = 0; k + 5 < edges.length; k += 6) {
      const a = Linear.moved(found.item.matrix, corner(edges, k / 3)), b = Linear.moved(found.item.matrix, corner(edges, k / 3 + 1));
      const p = seen(a), q = seen(b);
      if (!p.seen || !q.seen) continue;
      const share = nearest(p, q, x, y), point = Linear.mix(a, b, share), at = seen(point), away = Math.hypot(at.x - x, at.y - y);
      if (away >= least || Linear.length(Linear.sub(point, found.point)) > reach) continue;
      const circle = Math.abs(a[2] - b[2]) < ROUND ? roundness([a, b]) : 0;
      least = away;
      best = { point: circle ? onRadius(point, circle) : point, circle: circle > 0 };
    }
    return best;
  }

  /** How far from the hit point an edge may lie and still be the one that is meant, mm: what a few pixels are there, seen aslant.
   * @type {(found: Hit, seen: (p: Vector) => {x: number, y: number}) => number} */
  function nearMiss(found, seen) {
    const at = seen(found.point);
    const pixels = [[1, 0, 0], [0, 1, 0], [0, 0, 1]].map((step) => {
      const moved_ = seen(Linear.add(found.point, step));
      return Math.hypot(moved_.x - at.x, moved_.y - at.y);
    });
    return 4 * SNAP / Math.max(1e-6, ...pixels);
  }

  /** The place (0 to 1 around and along) on a coloured face under a ray that another body was hit by at `t`; null where none is.
   * @type {(scene: {shapes: Record<string, any>}, items: Item[], ray: Ray, t: number) => {jaw: number, around: number, along: number} | null} */
  function facePlace(scene, items, ray, t) {
    for (const item of items) {
      if (item.pressure === undefined) continue;
      const { positions, triangles, places } = scene.shapes[item.geometry];
      const from = Linear.movedBack(item.matrix, ray.from), along = Linear.turnedBack(item.matrix, ray.along);
      for (let k = 0; k < triangles.length; k += 3) {
        const [a, b, c] = [0, 1, 2].map((n) => corner(positions, triangles[k + n]));
        const at = triangleHit(from, along, a, b, c);
        if (!(Math.abs(at - t) < 0.5)) continue;
        const p = Linear.add(from, Linear.scale(along, at)), whole = area(a, b, c), shares = [area(p, b, c) / whole, area(a, p, c) / whole, area(a, b, p) / whole];
        const place = (/** @type {number} */ n) => shares.reduce((sum, share, m) => sum + share * places[2 * triangles[k + m] + n], 0);
        return { jaw: item.pressure, around: place(0), along: place(1) };
      }
    }
    return null;
  }
  const area = (/** @type {Vector} */ a, /** @type {Vector} */ b, /** @type {Vector} */ c) => 0.5 * Linear.length(Linear.cross(Linear.sub(b, a), Linear.sub(c, a)));

  /** A point that stays on its body.
   * @type {(found: Hit, point: Vector) => Anchor} */
  const anchor = (found, point) => ({ body: found.item.body, local: Linear.movedBack(found.item.matrix, point) });

  /** Distances between two points of the setup as it stands, and the diameters on which they lie.
   * @type {(a: Vector, b: Vector) => {distance: number, x: number, y: number, z: number, radius: number, diameters: [number, number]}} */
  function between(a, b) {
    const d = Linear.sub(b, a);
    return {
      distance: Linear.length(d), x: d[0], y: d[1], z: d[2], radius: radius(b) - radius(a), diameters: [2 * radius(a), 2 * radius(b)],
    };
  }

  return { hit, snapped, onWall, anchor, between, facePlace };
})();
