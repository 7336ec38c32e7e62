// @ts-check
"use strict";
/* The work in moments: load, close, grip, spin up, cut, release. Each is a state of the sliders; between two of them the sliders
   run. What is judged stays what is stated or was set by hand: a moment only shows. */
const Moments = (() => {
  const NAMES = ["load", "close", "grip", "spin up", "cut", "release"];
  const CLEAR = 0.05; // mm of travel before the first touch, at which the jaws are shown closed and not yet gripping
  const SECONDS = [2.5, 1, 2.5, 6, 2.5]; // from each moment to the next

  /** What the sliders say at a place from 0 (load) to 5 (release). `most`: the speed that is judged or shown at the most, rev/min.
   * @type {(stage: any, touch: number, most: number, at: number) => Record<string, number>} */
  function state(stage, touch, most, at) {
    const k = Math.min(NAMES.length - 2, Math.max(0, Math.floor(at))), share = Math.max(0, Math.min(1, at - k));
    const loading = stage.ranges.travel_mm ? stage.ranges.travel_mm[0] : 0, closed = Math.max(loading, touch - CLEAR);
    const long = stage.track ? stage.track.length_mm : 0, force = stage.track ? 0 : stage.side_force_N || 0;
    const mix = (/** @type {number} */ a, /** @type {number} */ b) => a + share * (b - a);
    const held = { travel_mm: touch, speed_rpm: most, position_mm: 0, side_force_N: 0 };
    if (k === 0) return { ...held, travel_mm: mix(loading, closed), speed_rpm: 0 };
    if (k === 1) return { ...held, travel_mm: mix(closed, touch), speed_rpm: 0 };
    if (k === 2) return { ...held, speed_rpm: mix(0, most) };
    if (k === 3) return { ...held, position_mm: mix(0, long), side_force_N: share > 0 ? force : 0 };
    if (share === 0) return { ...held, position_mm: long, side_force_N: force };
    // The spindle stands before the jaws let go.
    return share < 0.5 ? { ...held, speed_rpm: most * (1 - 2 * share) } : { ...held, speed_rpm: 0, travel_mm: touch + (2 * share - 1) * (loading - touch) };
  }

  /** `act`: show(values) sets sliders without judging, ready() whether the last picture stands, stop() ends other runs. */
  function create(root, s, act) {
    const { element } = Controls;
    let at = 2, running = false, last = 0;
    const buttons = NAMES.map((name, k) => element("button", { type: "button", onclick: () => { stop(); go(k); } }, name));
    const play = element("button", { type: "button", class: "run", onclick: () => (running ? stop() : run()) }, "▶ play");
    const bar = element("input", { type: "range", min: 0, max: NAMES.length - 1, step: "any", value: at, "aria-label": "Moment of the work",
      oninput: () => { stop(); go(Number(bar.value)); } });
    const row = element("div", { class: "moments", role: "group", "aria-label": "Moments of the work" }, play, ...buttons, bar);
    const giving = root.querySelector("[data-part=giving]");
    if (giving) row.append(giving);
    root.querySelector(".dock").prepend(row);

    function go(to) {
      at = to;
      const { stage } = s, judged = (s.moved[stage.key] || {}).speed_rpm, most = judged === undefined ? stage.values.speed_rpm : judged;
      act.show(state(stage, Scene.touch(stage, Setting.now(s)), most, at));
      show();
    }

    function show() {
      row.hidden = !s.stage || !s.stage.touches;
      bar.value = String(at);
      const near = Math.round(at);
      const there = Math.abs(at - near) < 1e-6;
      bar.setAttribute("aria-valuetext", there ? NAMES[near] : `between ${NAMES[Math.floor(at)]} and ${NAMES[Math.floor(at) + 1]}`);
      buttons.forEach((button, k) => button.setAttribute("aria-pressed", String(there && k === near)));
    }

    function step(time) {
      if (!running) return;
      if (!s.stage.touches) { stop(); return; }
      if (!act.ready()) { last = time; requestAnimationFrame(step); return; }
      const k = Math.min(NAMES.length - 2, Math.floor(at));
      go(Math.min(NAMES.length - 1, at + Math.min(0.25, Math.max(0, (time - last) / 1000)) / SECONDS[k]));
      last = time;
      if (at >= NAMES.length - 1) stop(); else requestAnimationFrame(step);
    }

    function run() {
      act.stop();
      running = true;
      if (at >= NAMES.length - 1) at = 0;
      play.textContent = "■ stop";
      last = performance.now();
      requestAnimationFrame(step);
    }

    function stop() {
      running = false;
      play.textContent = "▶ play";
    }

    /** A slider was moved by hand, or another step of the work chosen: no moment is shown as pressed. */
    const left = () => { stop(); buttons.forEach((button) => button.setAttribute("aria-pressed", "false")); row.hidden = !s.stage || !s.stage.touches; };
    return { left, show, go, get at() { return at; }, get running() { return running; } };
  }

  return { create, state, NAMES };
})();
