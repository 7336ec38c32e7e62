// @ts-check
"use strict";
/* What is asked: figures at every change, verdicts when pressure and speed have stood still for a while. Every answer is
   kept with the state that it was asked for; `Validity` tells what it is worth. */
const Asking = (() => {
  const STILL = 700; // ms without a change before verdicts are asked for
  const REST = 300; // ms without a change before what was foreseen, or takes long, is worked out
  const LATE = 1000; // ms after which figures of the state before are no longer shown

  /** `told`: figures(found), changed() when what holds has changed, newer() of a file judged anew, idle(). */
  function create(source, s, told) {
    let asked = 0, answered = 0, shown = 0, waiting = 0, clock = 0, rest = 0, working = 0;
    const judging = new Set(); // keys of the states whose verdicts are under way

    function inTime() {
      clearTimeout(clock);
      clock = 0;
      s.late = false;
    }

    function figures() {
      asked += 1;
      const serial = asked, key = Validity.figuresKey(s), { version } = s.scene.data, stage = s.stage.key;
      clearTimeout(rest);
      rest = 0;
      if (!clock) clock = setTimeout(() => { s.late = true; told.changed(); }, LATE);
      source.figures(question(version, stage)).then((found) => {
        answered = Math.max(answered, serial);
        if (!found || serial < shown || version !== s.scene.data.version || stage !== s.stage.key) { told.idle(); return; }
        shown = serial;
        Object.assign(s, { answer: { key, version, found }, refused: null });
        inTime();
        if (key !== Validity.figuresKey(s)) clock = setTimeout(() => { s.late = true; told.changed(); }, LATE);
        const more = found.preview || (found.held && found.peak_change_for_1_um_MPa === undefined);
        if (more && source.live && key === Validity.figuresKey(s)) {
          clearTimeout(rest);
          rest = setTimeout(() => { rest = 0; exact(key); }, REST);
        }
        if (!found.preview && Validity.bored(s)) verdicts();
        told.figures(found);
      }, (error) => {
        answered = Math.max(answered, serial);
        s.refused = { key, words: error.message };
        if (error.newer) told.newer(); else told.changed();
        told.idle();
      });
    }

    function question(version, stage) {
      const bores = Validity.bores(s), depths = Validity.depths(s);
      return { version, stage, ...Setting.now(s), ...(Object.keys(bores).length ? { bores } : {}), ...(Object.keys(depths).length ? { depths } : {}), ...(s.shape.by && Shape.offered(s) ? { shape: true } : {}) };
    }

    /** Work out what was foreseen or left out of a state, unless it is no longer shown; what is foreseen stays until then, marked. */
    async function exact(key) {
      const { version } = s.scene.data;
      if (key !== Validity.figuresKey(s)) { told.idle(); return; }
      working += 1;
      try {
        const found = await source.exact(question(version, s.stage.key));
        if (key === Validity.figuresKey(s)) {
          // The shape may have been asked for, and have come, meanwhile: it is of the same state.
          const there = s.answer && s.answer.key === key && !s.answer.found.preview && "shape" in s.answer.found ? { shape: s.answer.found.shape } : {};
          s.answer = { key, version, found: { ...there, ...found } };
          told.figures(s.answer.found);
        }
      } catch (error) {
        const { newer, message } = /** @type {Error & {newer?: boolean}} */ (error);
        if (newer) told.newer(); else if (key === Validity.figuresKey(s)) Object.assign(s, { answer: null, refused: { key, words: message } });
      }
      working -= 1;
      verdicts();
      told.changed();
      told.idle();
    }

    function verdicts() {
      clearTimeout(waiting);
      waiting = 0;
      if (Validity.verdicts(s).level === "pending" && !judging.has(Validity.verdictsKey(s))) waiting = setTimeout(() => { waiting = 0; judge(); }, STILL);
    }

    async function judge() {
      const key = Validity.verdictsKey(s), { version } = s.scene.data;
      if (s.judged && s.judged.key === key) { told.idle(); return; }
      judging.add(key);
      try {
        const found = await source.verdicts({ version, gripping: Validity.gripping(s), bores: Validity.bores(s), depths: Validity.depths(s) });
        if (key === Validity.verdictsKey(s)) Object.assign(s, { judged: { key, ...found }, unjudged: null });
      } catch (error) {
        const { newer, message } = /** @type {Error & {newer?: boolean}} */ (error);
        if (newer) told.newer(); else if (key === Validity.verdictsKey(s)) s.unjudged = { key, words: message };
      }
      judging.delete(key);
      told.changed();
      told.idle();
    }

    return {
      figures, verdicts,
      /** Whether all that was asked has come; `fully`: verdicts too. */
      done: (fully) => answered === asked && !(fully && (waiting || judging.size || rest || working)),
      get counts() { return { asked, answered }; },
    };
  }

  return { create };
})();
