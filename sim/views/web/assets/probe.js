// @ts-check
"use strict";
/* Questions that a test, or a curious reader in the browser's console, asks of what is drawn. */
const Probe = (() => {
  const create = (s, frame, tools) => ({
    hide: (group) => tools.look(group, "hidden"),
    look: (group, look) => tools.look(group, look),
    scale: () => Setting.scale(s),
    bandMeans: () => [...Scene.floats(Setting.own(s).bands.MPa)],
    /** Where a place on a gripped face (0 to 1 around and along) is seen, in pixels of the picture. */
    facePoint(jaw, u, v) {
      const item = Setting.drawn(s).find((one) => one.pressure === jaw);
      if (!item) throw new Error("no pressures are drawn at this state");
      const { positions, places } = s.scene.shapes[s.stage.face];
      let best = 0;
      for (let k = 0; k < places.length / 2; k += 1) {
        const off = (i) => Math.hypot(places[2 * i] - u, places[2 * i + 1] - v);
        if (off(k) < off(best)) best = k;
      }
      return frame.seen(Linear.moved(item.matrix, [...positions.subarray(3 * best, 3 * best + 3)]));
    },
  });

  return { create };
})();
