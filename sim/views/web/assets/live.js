// @ts-check
"use strict";
/* The page with the program behind it: figures are asked for, a changed file is taken over. */
(() => {
  const part = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id)); // the page's own
  const app = App.start(part("app"), JSON.parse(part("scene-data").textContent), Source.live(""));
  const editing = Editing.create(part("app"), app);
  let loading = false, wanted = app.version;

  /** Load the scene that the program shows, unless the page has it; what cannot be loaded stays marked as out of date. */
  async function load() {
    if (loading) return;
    loading = true;
    try {
      for (let k = 0; k < 3 && (k === 0 || app.version !== wanted); k += 1) {
        const reply = await fetch("scene");
        if (reply.ok) app.load(await reply.json());
      }
    } catch { /* the stream tells of a program that is gone, and of the version again at its next sign of life */ }
    loading = false;
  }

  Source.watch("", {
    told(file) {
      app.file({ ...file, lost: false });
      wanted = file.version;
      editing.heard(file);
      if (wanted !== app.version) load();
    },
    gone: () => app.file({ lost: true }),
  });
  app.newer(load);
  Object.assign(window, { chuckscene: app, editing });
  if (/^#(plain&)?edit\b/.test(location.hash)) editing.open(true);
})();
