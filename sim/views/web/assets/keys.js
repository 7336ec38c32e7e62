// @ts-check
"use strict";
/* What keys and pointer do, in words: shown by the key ? and by the button of that name; and the whole screen for the scene. */
const Keys = (() => {
  const { element } = Controls;
  const ROWS = [
    ["drag; arrow keys", "turn the setup; a finger sets out sideways where the page scrolls"], ["shift and drag, or two fingers; shift and arrow keys", "move the picture"],
    ["wheel, or two fingers; + and −", "come nearer to what the pointer is on, or go back"], ["double click", "turn about the place under the pointer"],
    ["0", "see all of it"], ["z, Z", "from the tailstock, from the chuck's side"], ["x, X", "from above over jaw 1, from below"],
    ["y, Y", "from the far side, from the side"], ["q", "from a quarter"], ["1 to 9", "step of the work"], ["space", "run the tool along its path"],
    ["m, then click or Enter", "measure between two places"], ["f", "the whole screen, and back"], ["Esc", "stop measuring; close this list"], ["?", "this list"],
  ];
  const typing = (/** @type {any} */ target) => Boolean(target && target.closest && target.closest("input, select, textarea, [contenteditable]"));

  /** The buttons of the list and of the whole screen, for the row of tools. */
  function create(root) {
    const close = element("button", { type: "button", class: "tool", onclick: () => list.close() }, "close");
    const list = /** @type {HTMLDialogElement} */ (element("dialog", { class: "keys", "aria-label": "Keys" }, element("h2", {}, "Keys and pointer"),
      element("p", {}, "Keys act while the picture has the focus: click it first."),
      element("dl", {}, ...ROWS.flatMap(([how, what]) => [element("dt", {}, how), element("dd", {}, what)])), close));
    root.append(list);
    const show = () => { if (list.open) list.close(); else { list.showModal(); list.scrollTop = 0; } };

    function whole() {
      if (document.fullscreenElement) document.exitFullscreen(); else if (root.requestFullscreen) root.requestFullscreen().catch(() => {});
    }

    document.addEventListener("keydown", (event) => {
      if (typing(event.target) || event.ctrlKey || event.metaKey || event.altKey) return;
      if (event.key === "?") show();
      else if (event.key === "f" && root.querySelector("[data-part=view]").contains(event.target)) whole();
      else return;
      event.preventDefault();
    });
    const fill = element("button", { type: "button", class: "tool", title: "The whole screen (f)", onclick: whole }, "on the whole screen");
    fill.hidden = !document.fullscreenEnabled;
    return [fill, element("button", { type: "button", class: "tool handy", title: "Keys (?)", "aria-label": "Keys and pointer", onclick: show }, "?")];
  }

  return { create };
})();
