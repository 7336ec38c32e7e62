"use strict";
/* What is asked: figures at every change, verdicts when pressure and speed have stood still for a while. */
const Asking = (() => {
  const STILL = 700; // ms without a change before verdicts are asked for

  /** `told`: figures(found), verdicts(found or null while being judged), trouble(words), idle(). */
  function create(source, s, told) {
    let asked = 0, answered = 0, waiting = 0, judging = false;

    function figures() {
      asked += 1;
      const serial = asked;
      source.figures({ stage: s.stage.key, ...Setting.now(s) }).then((found) => {
        answered = Math.max(answered, serial);
        if (found && found.stage === s.stage.key) told.figures(found); else told.idle();
      }, (error) => {
        answered = Math.max(answered, serial);
        told.trouble(error.message);
      });
    }

    function verdicts() {
      clearTimeout(waiting);
      const key = s.stage.key;
      waiting = setTimeout(() => { waiting = 0; judging = true; judge(key); }, STILL);
      told.verdicts(null);
    }

    async function judge(key) {
      const wanted = { ...Setting.now(s) };
      try {
        const found = await source.verdicts({ stage: key, ...wanted });
        judging = false;
        if (!found || s.stage.key !== key || waiting) { told.idle(); return; }
        told.verdicts(found);
        told.idle();
      } catch (error) {
        judging = false;
        told.trouble(error.message);
      }
    }

    return {
      figures, verdicts,
      forget: () => { clearTimeout(waiting); waiting = 0; },
      /** Whether all that was asked has come; `fully`: verdicts too. */
      done: (fully) => answered === asked && !(fully && (waiting || judging)),
      get counts() { return { asked, answered }; },
    };
  }

  return { create };
})();
