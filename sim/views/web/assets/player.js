// @ts-check
"use strict";
/* Runs the tool along its path: the whole of it in half a minute, rapid moves three times as fast. */
const Player = (() => {
  const WHOLE = 30; // s
  const RAPID = 3;

  /** `moved(position)` is told every new place, `toggled(playing)` the start and the end; `ready()` says whether the last
      place is shown with its figures: before that the tool goes no farther. */
  function create(s, moved, toggled, ready) {
    let last = 0, gone = 0;

    function step(time) {
      if (!s.playing || !s.stage.track) { stop(); return; }
      if (!ready()) { requestAnimationFrame(step); return; }
      const path = s.stage.track;
      const elapsed = Math.min(0.25, Math.max(0, (time - last) / 1000));
      last = time;
      const rapid = path.rapid[Scene.moveAt(s.stage, gone + 1e-3)];
      gone = Math.min(path.length_mm, gone + path.length_mm / WHOLE * (rapid ? RAPID : 1) * elapsed);
      const stops = (s.stage.stops || {}).position_mm;
      const next = stops ? stops.reduce((best, stop) => (stop <= gone + 1e-6 ? stop : best), stops[0]) : gone;
      if (next !== Setting.now(s).position_mm) moved(next);
      if (gone >= path.length_mm) stop(); else requestAnimationFrame(step);
    }

    function stop() {
      if (!s.playing) return;
      s.playing = false;
      toggled(false);
    }

    function toggle() {
      if (s.playing) { stop(); return; }
      if (!s.stage.track) return;
      s.playing = true;
      gone = Setting.now(s).position_mm >= s.stage.track.length_mm - 1e-6 ? 0 : Setting.now(s).position_mm;
      last = performance.now();
      toggled(true);
      requestAnimationFrame(step);
    }

    return { toggle, stop };
  }

  return { create };
})();
