// @ts-check
"use strict";
/* What the user has changed, in words, and the way back: one step at a time, or all of it. */
const Changed = (() => {
  const MOST = 100; // steps that are kept
  const ONE = 600; // ms within which moves of one slider are one step
  const WORDS = { pressure_bar: ["pressure", "pressure"], speed_rpm: ["speed", "speed"], bore_mm: ["bore", "length"], depth_mm: ["depth", "length"] };

  /** What differs from the scenario: 'speed 2500 rev/min'; each stage once it is not the only one that is changed.
   * @type {(s: Shown) => string[]} */
  function words(s) {
    const found = [];
    const changed = s.scene.data.stages.filter((one) => one.sizes && Object.entries(s.moved[one.key] || {}).some(([key, value]) => value !== one.values[key]));
    for (const one of changed) {
      const all = Object.entries(WORDS).filter(([key]) => key in (s.moved[one.key] || {}) && s.moved[one.key][key] !== one.values[key]);
      const said = all.map(([key, [name, kind]]) => `${name} ${Units.shown(s.moved[one.key][key], kind)}`);
      found.push(...said.map((text) => (changed.length > 1 ? `${text} (${one.name})` : text)));
    }
    return [...new Set(found)];
  }

  const copied = (/** @type {any} */ value) => JSON.parse(JSON.stringify(value));

  /** A record of what was set. `taken(values, moved)` takes a former one over. */
  function create(s, taken) {
    let past = [], future = [], last = { key: "", at: 0 };
    const now = () => ({ values: copied(s.values), moved: copied(s.moved) });

    /** To be told before a value is changed. */
    function before(key) {
      const at = performance.now();
      const same = key === last.key && at - last.at < ONE && past.length > 0;
      last = { key, at };
      future = [];
      if (same) return;
      past.push(now());
      if (past.length > MOST) past.shift();
    }

    function step(from, to) {
      const found = from.pop();
      if (!found) return;
      to.push(now());
      last = { key: "", at: 0 };
      taken(found.values, found.moved);
    }

    return {
      before,
      undo: () => step(past, future),
      redo: () => step(future, past),
      /** Nothing can be taken back: another scene is shown. */
      forget() { past = []; future = []; },
      get past() { return past.length; },
      get future() { return future.length; },
    };
  }

  return { words, create };
})();
