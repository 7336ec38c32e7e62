// @ts-check
"use strict";
/* On a phone or a tablet the controls lie in a sheet that is drawn up from below: closed at first, so that the page begins with its answer
   and its picture. Wider pages have them beside the picture, as ever. */
const Sheet = (() => {
  const { element } = Controls;
  const NARROW = "(max-width: 62rem)"; // as in page.css

  /** @type {(root: any, drawn: () => void) => void} */
  function attach(root, drawn) {
    const dock = root.querySelector(".dock"), tools = root.querySelector(".tools"), row = tools.parentElement;
    const narrow = window.matchMedia(NARROW);
    const close = element("button", { type: "button", class: "tool", onclick: () => open(false) }, "close");
    const head = element("div", { class: "sheethead" }, element("strong", {}, "Controls"), close);
    const button = element("button", { type: "button", class: "sheetbutton", "aria-expanded": "false", "aria-controls": "controls", onclick: () => open(true) }, "controls");
    Object.assign(dock, { id: "controls" });
    dock.before(button);

    function open(/** @type {boolean} */ on) {
      root.classList.toggle("drawn-up", on);
      button.setAttribute("aria-expanded", String(on));
      if (!narrow.matches) return;
      if (on) {
        root.querySelector("[data-part=view]").scrollIntoView({ block: "start" });
        close.focus();
      } else {
        button.focus();
      }
    }

    function fit() {
      const on = narrow.matches;
      if (on) { dock.prepend(head, tools); dock.setAttribute("role", "region"); dock.setAttribute("aria-label", "Controls"); }
      else { head.remove(); row.append(tools); dock.removeAttribute("role"); dock.removeAttribute("aria-label"); root.classList.remove("drawn-up"); button.setAttribute("aria-expanded", "false"); }
      drawn();
    }

    dock.addEventListener("keydown", (/** @type {KeyboardEvent} */ event) => {
      if (event.key === "Escape" && narrow.matches && root.classList.contains("drawn-up")) { event.stopPropagation(); open(false); }
    });
    narrow.addEventListener("change", fit);
    if (narrow.matches) fit();
  }

  return { attach };
})();
