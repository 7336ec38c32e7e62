// @ts-check
"use strict";
/* Where the light of a picture comes from: a key light that is not quite a point, and a dome over all. */
const Lights = (() => {
  const KEY_SPREAD = 0.13; // of the key light, share of its distance

  /** Points that fill the unit square evenly whatever their number (R2 sequence). */
  const even = (k) => [(0.5 + k * 0.7548776662466927) % 1, (0.5 + k * 0.5698402909980532) % 1];

  /** The lights of picture k of a settled one; k < 0: of a quick one. They stand where the camera stands. */
  function of(camera, scene, k) {
    const { right, up, back } = camera.axes;
    const [a, b] = even(k + 1), turn = 2 * Math.PI * a;
    const spread = k < 0 ? 0 : KEY_SPREAD * Math.sqrt(b);
    const at = (x, y, z) => Linear.unit(Linear.add(Linear.add(Linear.scale(right, x), Linear.scale(up, y)), Linear.scale(back, z)));
    const keyDirection = at(-0.55 + spread * Math.cos(turn), 0.75 + spread * Math.sin(turn), 0.85);
    const [c, d] = even(k + 77);
    const h = 1 - 2 * c, ring = Math.sqrt(Math.max(0, 1 - h * h)), round = 2 * Math.PI * d;
    const domeDirection = k < 0 ? keyDirection
      : Linear.unit(Linear.add(Linear.add(Linear.scale(right, ring * Math.cos(round)), Linear.scale(back, ring * Math.sin(round))), Linear.scale(up, h)));
    const high = 0.5 + 0.5 * h;
    const tint = [0.30 + 0.42 * high, 0.30 + 0.43 * high, 0.31 + 0.445 * high];
    return {
      key: keyDirection, dome: domeDirection, tint, shadow: true, number: Math.max(0, k),
      keyMatrix: Linear.lightMatrix(keyDirection, scene.centre, scene.radius),
      domeMatrix: Linear.lightMatrix(domeDirection, scene.centre, scene.radius),
    };
  }

  return { even, of };
})();
