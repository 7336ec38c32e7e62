"use strict";
/* The page on its own: figures are read from the states written into the file. */
(() => {
  const text = (id) => JSON.parse(document.getElementById(id).textContent);
  window.chuckscene = App.start(document.getElementById("app"), text("scene-data"), Source.written(text("state-data")));
})();
