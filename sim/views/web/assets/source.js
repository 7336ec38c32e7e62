"use strict";
/* Where the figures of a state come from: the program behind the page, or the states written into it. */
const Source = (() => {
  /** Asks the program. One question is under way at a time; of those that came meanwhile only the last is asked. */
  function live(address) {
    let busy = false, waiting = null;

    async function ask(question) {
      const reply = await fetch(`${address}state`, {
        method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(question.state),
      });
      const found = await reply.json();
      if (!reply.ok) throw new Error(found.mistake || "the program gave no figures");
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
      verdicts: (state) => ask({ state: { ...state, verdicts: true } }),
    };
  }

  const nearest = (values, wanted) => values.reduce((best, v, k) => (Math.abs(v - wanted) < Math.abs(values[best] - wanted) ? k : best), 0);

  /** Reads the states that were computed when the file was written. */
  function written(states) {
    function operation(grid, asked) {
      const travel = nearest(grid.travels_mm, asked.travel_mm);
      const touched = grid.travels_mm[travel] >= grid.touch_travel_mm - 1e-9;
      const speed = nearest(grid.speeds_rpm, asked.speed_rpm);
      const found = { ...grid.at_speed[speed] };
      if (touched) return { ...found, gripped: true, jaw_travel_mm: grid.touch_travel_mm, gap_mm: 0, closest: null };
      return {
        ...found, ...grid.open[travel], gripped: false, held: false, bands: null, grip_N: [0, 0, 0], total_N: 0, peak_MPa: 0,
        pattern: null, closed_share: null,
      };
    }
    return {
      live: false,
      verdicts: () => Promise.resolve(null),
      figures: (asked) => {
        const grid = states[asked.stage] || {};
        const found = asked.stage === "boring" ? {} : operation(grid, asked);
        const there = grid.path && (asked.stage === "boring" || asked.position_mm > 0);
        const path = there ? grid.path.at[nearest(grid.path.positions_mm, asked.position_mm)] : null;
        return Promise.resolve({ ...found, stage: asked.stage, path });
      },
    };
  }

  /** Tells of a changed file, of a mistake in it, and of a program that has gone. */
  function watch(address, { changed, mistake, gone, back }) {
    const stream = new EventSource(`${address}events`);
    let lost = false;
    stream.addEventListener("scene", (event) => changed(Number(event.data)));
    stream.addEventListener("mistake", (event) => mistake(JSON.parse(event.data)));
    stream.onerror = () => { lost = true; gone(); };
    stream.onopen = () => { if (lost) { lost = false; back(); } };
    return stream;
  }

  return { live, written, watch };
})();
