// @ts-check
"use strict";
/* The page on its own: figures are read from the states written into the file. */
(() => {
  const part = (/** @type {string} */ id) => /** @type {HTMLElement} */ (document.getElementById(id)); // the page's own
  const data = (/** @type {string} */ id) => JSON.parse(part(id).textContent);

  /** The list of all verdicts below the scene: a filter, and one button for every stage. */
  function findable() {
    const box = /** @type {HTMLElement} */ (document.querySelector(".finder"));
    const field = /** @type {HTMLInputElement} */ (box.querySelector("input"));
    const folds = /** @type {HTMLDetailsElement[]} */ ([...document.querySelectorAll(".all .stageline")]);
    const rows = /** @type {HTMLElement[]} */ ([...document.querySelectorAll(".all tbody tr")]);
    box.hidden = false;
    field.addEventListener("input", () => {
      const word = field.value.trim().toLowerCase();
      for (const row of rows) row.hidden = !(row.textContent || "").toLowerCase().includes(word);
      for (const fold of folds) {
        const found = [...fold.querySelectorAll("tbody tr")].some((row) => !(/** @type {HTMLElement} */ (row).hidden));
        fold.hidden = !found;
        fold.open = Boolean(word) && found;
      }
    });
    const all = /** @type {HTMLButtonElement} */ (box.querySelector("button"));
    all.addEventListener("click", () => {
      const opened = folds.every((fold) => fold.open);
      for (const fold of folds) fold.open = !opened;
    });
  }
  findable();
  Object.assign(window, { chuckscene: App.start(part("app"), data("scene-data"), Source.written(data("state-data"))) });
})();
