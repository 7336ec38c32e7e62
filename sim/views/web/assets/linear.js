// @ts-check
"use strict";
/* Vectors and 4x4 matrices (column by column, as WebGL takes them); lengths in mm. */
/** @typedef {number[]} Vector x, y, z; of a place in mm */
/** @typedef {number[]} Matrix 16 numbers, column by column */
/** @typedef {{right: Vector, up: Vector, back: Vector}} Axes of a picture; back points towards the eye */
const Linear = (() => {
  /** @type {(a: Vector, b: Vector) => Vector} */
  const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
  /** @type {(a: Vector, b: Vector) => Vector} */
  const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
  /** @type {(a: Vector, f: number) => Vector} */
  const scale = (a, f) => [a[0] * f, a[1] * f, a[2] * f];
  /** @type {(a: Vector, b: Vector) => number} of the first three numbers: a plane's fourth is its distance */
  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  /** @type {(a: Vector, b: Vector) => Vector} */
  const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
  /** @type {(a: Vector) => number} */
  const length = (a) => Math.hypot(a[0], a[1], a[2]);
  /** @type {(a: Vector) => Vector} */
  const unit = (a) => scale(a, 1 / (length(a) || 1));
  /** @type {(a: Vector, b: Vector, t: number) => Vector} */
  const mix = (a, b, t) => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];

  /** @type {() => Matrix} */
  const identity = () => [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

  /** @type {(a: Matrix, b: Matrix) => Matrix} */
  function multiply(a, b) {
    const out = new Array(16);
    for (let c = 0; c < 4; c += 1) {
      for (let r = 0; r < 4; r += 1) {
        out[4 * c + r] = a[r] * b[4 * c] + a[4 + r] * b[4 * c + 1] + a[8 + r] * b[4 * c + 2] + a[12 + r] * b[4 * c + 3];
      }
    }
    return out;
  }

  /** Rz(angle) after a move by (x, y, z): how a body of a jaw stands in the chuck.
   * @type {(angle: number, x: number, y: number, z: number) => Matrix} */
  function turnedAbout(angle, x, y, z) {
    const c = Math.cos(angle), s = Math.sin(angle);
    return [c, s, 0, 0, -s, c, 0, 0, 0, 0, 1, 0, c * x - s * y, s * x + c * y, z, 1];
  }

  /** A point under a rigid matrix, and back.
   * @type {(m: Matrix, p: Vector) => Vector} */
  const moved = (m, p) => [
    m[0] * p[0] + m[4] * p[1] + m[8] * p[2] + m[12],
    m[1] * p[0] + m[5] * p[1] + m[9] * p[2] + m[13],
    m[2] * p[0] + m[6] * p[1] + m[10] * p[2] + m[14],
  ];
  /** @type {(m: Matrix, p: Vector) => Vector} */
  function movedBack(m, p) {
    const q = [p[0] - m[12], p[1] - m[13], p[2] - m[14]];
    return [m[0] * q[0] + m[1] * q[1] + m[2] * q[2], m[4] * q[0] + m[5] * q[1] + m[6] * q[2],
      m[8] * q[0] + m[9] * q[1] + m[10] * q[2]];
  }
  /** @type {(m: Matrix, v: Vector) => Vector} */
  const turned = (m, v) => [
    m[0] * v[0] + m[4] * v[1] + m[8] * v[2], m[1] * v[0] + m[5] * v[1] + m[9] * v[2],
    m[2] * v[0] + m[6] * v[1] + m[10] * v[2]];
  /** @type {(m: Matrix, v: Vector) => Vector} */
  const turnedBack = (m, v) => [
    m[0] * v[0] + m[1] * v[1] + m[2] * v[2], m[4] * v[0] + m[5] * v[1] + m[6] * v[2],
    m[8] * v[0] + m[9] * v[1] + m[10] * v[2]];

  /** Camera frame: rows right, up and back (towards the eye).
   * @type {(back: Vector, up: Vector) => Axes} */
  function frame(back, up) {
    const b = unit(back);
    const right = unit(cross(up, b));
    return { right, up: cross(b, right), back: b };
  }

  /** @type {(eye: Vector, axes: Axes) => Matrix} */
  function viewMatrix(eye, axes) {
    const { right: r, up: u, back: b } = axes;
    return [r[0], u[0], b[0], 0, r[1], u[1], b[1], 0, r[2], u[2], b[2], 0, -dot(r, eye), -dot(u, eye), -dot(b, eye), 1];
  }

  /** Perspective with the picture's centre moved by (jx, jy) in clip units: what smooths the edges.
   * @type {(angle: number, aspect: number, near: number, far: number, jx?: number, jy?: number) => Matrix} */
  function perspective(angle, aspect, near, far, jx = 0, jy = 0) {
    const f = 1 / Math.tan(angle / 2);
    return [f / aspect, 0, 0, 0, 0, f, 0, 0, jx, jy, (far + near) / (near - far), -1, 0, 0, 2 * far * near / (near - far), 0];
  }

  /** Parallel light: the box round a sphere, seen along `direction` (from the scene to the light).
   * @type {(direction: Vector, centre: Vector, radius: number) => Matrix} */
  function lightMatrix(direction, centre, radius) {
    const up = Math.abs(direction[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0];
    const axes = frame(direction, up);
    const view = viewMatrix(add(centre, scale(axes.back, radius)), axes);
    const s = 1 / radius;
    const box = [s, 0, 0, 0, 0, s, 0, 0, 0, 0, -s, 0, 0, 0, -1, 1];
    return multiply(box, view);
  }

  return { add, sub, scale, dot, cross, length, unit, mix, identity, multiply, turnedAbout, moved, movedBack, turned,
    turnedBack, frame, viewMatrix, perspective, lightMatrix };
})();
