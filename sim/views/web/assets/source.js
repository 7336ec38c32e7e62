// @ts-check
"use strict";
/* Where the figures of a state come from: the program behind the page, or the states written into it. */
const Source = (() => {
  /** Asks the program. One question is under way at a time; of those that came meanwhile only the last is asked. */
  function live(address) {
    let busy = false, waiting = null;

    async function ask(question) {
      let reply = null, found = null;
      try {
        reply = await fetch(`${address}state`, {
          method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(question.state),
        });
        found = await reply.json();
      } catch {
        throw new Error("the program behind this page gives no answer");
      }
      if (!reply.ok) throw Object.assign(new Error(found.mistake || "the program gave no figures"), { newer: reply.status === 409 });
      return found;
    }

    async function run(question) {
      busy = true;
      try {
        question.done(await ask(question));
      } catch (error) {
        question.failed(error);
      } finally {
        busy = false;
        if (waiting) { const next = waiting; waiting = null; run(next); }
      }
    }

    return {
      live: true,
      figures: (state) => new Promise((done, failed) => {
        const question = { state, done, failed };
        if (!busy) { run(question); return; }
        if (waiting) waiting.done(null);
        waiting = question;
      }),
      // Beside the figures of moves, which do not wait for it.
      exact: (state) => ask({ state: { ...state, exact: true } }),
      verdicts: (state) => ask({ state }),
    };
  }

  const nearest = (values, wanted) => values.reduce((best, v, k) => (Math.abs(v - wanted) < Math.abs(values[best] - wanted) ? k : best), 0);

  /** Reads the states that were computed when the file was written. */
  function written(states) {
    function operation(grid, asked) {
      const travel = nearest(grid.travels_mm, asked.travel_mm);
      const touched = grid.travels_mm[travel] >= grid.touch_travel_mm - 1e-9;
      const speed = nearest(grid.speeds_rpm, asked.speed_rpm);
      // What was not computed is not shown: neither the nearest state nor one in between.
      if (Math.abs(grid.travels_mm[travel] - asked.travel_mm) > 0.01 || Math.abs(grid.speeds_rpm[speed] - asked.speed_rpm) > 0.1) return null;
      const found = { ...grid.at_speed[speed] };
      if (touched) return { ...found, gripped: true, jaw_travel_mm: grid.touch_travel_mm, gap_mm: 0, closest: null };
      return {
        ...found, ...grid.open[travel], gripped: false, held: false, bands: null, grip_N: [0, 0, 0], total_N: 0, peak_MPa: 0, peak_change_for_1_um_MPa: null,
        pattern: null, closed_share: null,
      };
    }
    return {
      live: false,
      verdicts: () => Promise.resolve(null),
      figures: (asked) => {
        const grid = states[asked.stage] || {};
        const found = asked.stage === "boring" ? {} : operation(grid, asked);
        if (!found) return Promise.reject(new Error("this file holds no figures of this state"));
        const there = grid.path && (asked.stage === "boring" || asked.position_mm > 0);
        const path = there ? grid.path.at[nearest(grid.path.positions_mm, asked.position_mm)] : null;
        return Promise.resolve({ ...found, stage: asked.stage, path });
      },
    };
  }

  const SILENT = 10000; // ms without a sign of life after which the program counts as gone

  /** Tells what the program says of the file, {version, mistake, judging}, and of a program that is gone. */
  function watch(address, { told, gone }) {
    const stream = new EventSource(`${address}events`);
    let silence = 0;
    function alive() {
      clearTimeout(silence);
      silence = setTimeout(gone, SILENT);
    }
    stream.addEventListener("shown", (event) => { alive(); told(JSON.parse(event.data)); });
    stream.onerror = () => { clearTimeout(silence); gone(); };
    alive();
    return stream;
  }

  return { live, written, watch };
})();
