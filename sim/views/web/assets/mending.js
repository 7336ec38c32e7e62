// @ts-check
"use strict";
/* A file that cannot be judged yet: its forms alone. When nothing is left to mend and it is saved, it is judged and shown. */
(() => {
  const LOOK = 2000; // ms between two looks at the file, which somebody else may mend
  const root = /** @type {HTMLElement} */ (document.getElementById("mending"));
  const told = /** @type {HTMLElement} */ (root.querySelector("[data-part=told]")), first = told.textContent || "";
  let judging = false, refused = "";

  const editing = Editing.create(root, { file: () => {}, resized: () => {}, restate: () => {}, scene: false });

  /** Write words where they are not written yet, so that a reader of the screen hears only what is new. */
  const say = (words, wrong = false) => {
    if (told.textContent !== words) told.textContent = words;
    told.classList.toggle("refused", wrong);
  };

  async function look() {
    const { stated, idle } = editing.draft;
    if (judging || !idle || !stated) return;
    if (stated.faults.length || stated.unsaved) { refused = ""; say(stated.faults.length ? first : "Nothing is left to mend: save, then the setup is judged and shown."); return; }
    if (refused === stated.base) return; // as it is saved it cannot be judged; it is asked again when it is another
    judging = true;
    say("Judging; a new part takes some seconds …");
    try {
      await Drafting.ask("mended", {});
      location.hash = "edit";
      location.reload();
    } catch (error) {
      refused = stated.base;
      say(`Cannot be judged: ${/** @type {Error} */ (error).message}.`, true);
      judging = false;
    }
  }

  setInterval(async () => {
    if (!judging && editing.draft.idle) await editing.refresh();
    look();
  }, LOOK);
  Object.assign(window, { editing });
  editing.open(true);
})();
