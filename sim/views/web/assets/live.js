"use strict";
/* The page with the program behind it: figures are asked for, a changed file is taken over. */
(() => {
  const root = document.getElementById("app");
  const app = App.start(root, JSON.parse(document.getElementById("scene-data").textContent), Source.live(""));
  Source.watch("", {
    async changed() {
      const reply = await fetch("scene");
      if (reply.ok) app.load(await reply.json());
    },
    mistake: (message) => app.mistake(message),
    gone: () => app.gone("The program behind this page has ended or cannot be reached: figures no longer follow the sliders."),
    back: () => app.back(),
  });
  window.chuckscene = app;
})();
