// @ts-check
"use strict";
/* The page on its own: figures are read from the states written into the file. */
(() => {
  const part = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id)); // the page's own
  const data = (/** @type {string} */ id) => JSON.parse(part(id).textContent);
  Object.assign(window, { chuckscene: App.start(part("app"), data("scene-data"), Source.written(data("state-data"))) });
})();
