// @ts-check
"use strict";
/* The eye: a point it looks at, a distance and two angles. x (through jaw 1) is up, z runs towards the tailstock, which
   stands right in a picture from the side, as turners draw it. */
/** @typedef {{focus: Vector, distance: number, angle: number, yaw: number, pitch: number}} View mm and rad */
/** @typedef {{from: Vector, along: Vector}} Ray along: of length 1 */
const Camera = (() => {
  const ANGLE = 24 * Math.PI / 180; // from the top to the bottom of the picture
  const STEEPEST = Math.PI / 2 - 1e-3;
  const SIDES = /** @type {const} */ (["right", "up"]);

  /** Named directions to the eye: [yaw, pitch] in rad; yaw 0 looks from the tailstock, pitch is up to x.
   * @type {Record<string, [number, number]>} */
  const NAMED = {
    "three-quarter": [-0.95, 0.36],
    "in front": [-0.42, 0.24], // from the tailstock, and a little from beside
    tailstock: [0, 0],
    headstock: [Math.PI, 0],
    side: [-Math.PI / 2, 0],
    "far side": [Math.PI / 2, 0],
    above: [0, STEEPEST],
    below: [0, -STEEPEST],
  };

  /** @type {() => View} */
  const first = () => ({ focus: [0, 0, 0], distance: 800, angle: ANGLE, yaw: NAMED["three-quarter"][0], pitch: NAMED["three-quarter"][1] });

  /** @type {(camera: View) => Vector} */
  function direction(camera) {
    const c = Math.cos(camera.pitch);
    return [Math.sin(camera.pitch), -c * Math.sin(camera.yaw), c * Math.cos(camera.yaw)];
  }

  /** @type {(camera: View) => Axes} */
  function axes(camera) {
    // At the steepest pitch "up" is nearly the line of sight; the horizontal direction keeps the frame steady.
    const back = direction(camera);
    const right = [0, -Math.cos(camera.yaw), -Math.sin(camera.yaw)];
    return { right, up: Linear.cross(back, right), back };
  }

  /** @type {(camera: View) => Vector} */
  const eye = (camera) => Linear.add(camera.focus, Linear.scale(direction(camera), camera.distance));

  /** Near and far planes round a sphere, and the whole projection.
   * @type {(camera: View, aspect: number, centre: Vector, radius: number, jitter?: number[]) => {eye: Vector, axes: Axes, matrix: Matrix}} */
  function matrices(camera, aspect, centre, radius, jitter = [0, 0]) {
    const frame = axes(camera);
    const at = eye(camera);
    const depth = Linear.dot(Linear.sub(at, centre), frame.back);
    const near = Math.max(depth - radius, 0.002 * radius, 0.02 * camera.distance);
    const far = Math.max(depth + radius, near * 1.5);
    const projection = Linear.perspective(camera.angle, aspect, near, far, jitter[0], jitter[1]);
    return { eye: at, axes: frame, matrix: Linear.multiply(projection, Linear.viewMatrix(at, frame)) };
  }

  /** The distance from which a height is seen from the top to the bottom of the picture (or across a narrow one).
   * @type {(span: number, aspect: number, angle?: number) => number} */
  const distanceFor = (span, aspect, angle = ANGLE) => span / (2 * Math.tan(angle / 2)) / Math.min(1, aspect);

  /** The camera in the direction of another that just sees all points.
   * @type {(from: View, points: Vector[], aspect: number, fill?: number) => View} */
  function fitted(from, points, aspect, fill = 0.9) {
    const camera = { ...from, angle: ANGLE };
    const frame = axes(camera);
    const tall = Math.tan(camera.angle / 2) * fill, wide = tall * aspect;
    const bounds = { right: [Infinity, -Infinity], up: [Infinity, -Infinity] };
    const slopes = { right: wide, up: tall };
    for (const p of points) {
      const b = Linear.dot(p, frame.back);
      for (const side of SIDES) {
        const a = Linear.dot(p, frame[side]), t = slopes[side];
        // Kept as the extremes of the two slanted lines that bound the eye's place.
        bounds[side][0] = Math.min(bounds[side][0], a - t * b);
        bounds[side][1] = Math.max(bounds[side][1], a + t * b);
      }
    }
    const place = { right: 0, up: 0 };
    let depth = -Infinity;
    for (const side of SIDES) {
      const [low, high] = bounds[side];
      place[side] = (high + low) / 2;
      depth = Math.max(depth, (high - low) / 2 / slopes[side]);
    }
    let middle = 0;
    for (const p of points) middle += Linear.dot(p, frame.back) / points.length;
    const focus = Linear.add(Linear.add(Linear.scale(frame.right, place.right), Linear.scale(frame.up, place.up)),
      Linear.scale(frame.back, middle));
    return { ...camera, focus, distance: Math.max(depth - middle, 1) };
  }

  /** @type {(a: View, b: View, t: number) => View} */
  function between(a, b, t) {
    const ease = t * t * (3 - 2 * t);
    let turn = b.yaw - a.yaw;
    while (turn > Math.PI) turn -= 2 * Math.PI;
    while (turn < -Math.PI) turn += 2 * Math.PI;
    return {
      focus: Linear.mix(a.focus, b.focus, ease),
      distance: a.distance * Math.pow(b.distance / a.distance, ease),
      angle: a.angle + (b.angle - a.angle) * ease,
      yaw: a.yaw + turn * ease,
      pitch: a.pitch + (b.pitch - a.pitch) * ease,
    };
  }

  /** @type {(camera: View, dx: number, dy: number) => View} */
  const orbited = (camera, dx, dy) => ({
    ...camera,
    yaw: camera.yaw + dx,
    pitch: Math.max(-STEEPEST, Math.min(STEEPEST, camera.pitch + dy)),
  });

  /** Move the focus across the picture by a share of its height.
   * @type {(camera: View, dx: number, dy: number) => View} */
  function panned(camera, dx, dy) {
    const frame = axes(camera);
    const reach = 2 * Math.tan(camera.angle / 2) * camera.distance;
    return { ...camera, focus: Linear.add(camera.focus, Linear.add(Linear.scale(frame.right, -dx * reach), Linear.scale(frame.up, dy * reach))) };
  }

  /** Come nearer or go back. `at` is the place of the picture that stays where it is, in shares of its height from its middle,
   * to the right and up; what lies as far away as the focus stays there exactly.
   * @type {(camera: View, factor: number, at?: number[]) => View} */
  function zoomed(camera, factor, at = [0, 0]) {
    const distance = Math.max(5, Math.min(2e4, camera.distance * factor));
    const { right, up } = axes(camera), gone = 2 * Math.tan(camera.angle / 2) * (camera.distance - distance);
    const focus = Linear.add(camera.focus, Linear.add(Linear.scale(right, at[0] * gone), Linear.scale(up, at[1] * gone)));
    return { ...camera, focus, distance };
  }

  /** Where a point is seen: pixels from the top left, and whether it lies before the eye.
   * @type {(matrix: Matrix, point: Vector, width: number, height: number) => {x: number, y: number, seen: boolean}} */
  function projected(matrix, point, width, height) {
    const m = matrix, p = point;
    const w = m[3] * p[0] + m[7] * p[1] + m[11] * p[2] + m[15];
    const x = (m[0] * p[0] + m[4] * p[1] + m[8] * p[2] + m[12]) / w;
    const y = (m[1] * p[0] + m[5] * p[1] + m[9] * p[2] + m[13]) / w;
    return { x: (0.5 + 0.5 * x) * width, y: (0.5 - 0.5 * y) * height, seen: w > 0 };
  }

  /** The ray through a pixel.
   * @type {(camera: View, x: number, y: number, width: number, height: number) => Ray} */
  function ray(camera, x, y, width, height) {
    const frame = axes(camera);
    const t = Math.tan(camera.angle / 2);
    const along = Linear.unit(Linear.add(Linear.scale(frame.back, -1), Linear.add(
      Linear.scale(frame.right, (2 * x / width - 1) * t * width / height), Linear.scale(frame.up, (1 - 2 * y / height) * t))));
    return { from: eye(camera), along };
  }

  return { ANGLE, NAMED, first, direction, axes, eye, matrices, distanceFor, fitted, between, orbited, panned, zoomed, projected, ray };
})();
