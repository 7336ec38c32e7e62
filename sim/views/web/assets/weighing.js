// @ts-check
"use strict";
/* How far the verdicts hang on what nobody has read off: asked for, since every such value is moved and judged again. */
const Weighing = (() => {
  const { element } = Controls;

  /** `go(place)` turns to the field of a row.
   * @type {(draft: any, number: number, go: (place: string[]) => void) => Part} */
  function create(draft, number, go) {
    const button = element("button", { type: "button", id: "weigh", onclick: weigh }, "weigh what was not read off"), help = element("small", { id: "weigh-help" });
    button.setAttribute("aria-describedby", help.id);
    const told = element("p", { class: "drawn", role: "status" }), wrong = element("p", { class: "refused", role: "alert" }), table = element("div", { class: "weighed" });
    const root = element("details", { class: "group", "data-group": "weigh" }, element("summary", {}, element("span", { class: "n" }, String(number)), element("b", {}, "Not read off"), element("span", { class: "sum" }, "how far the verdicts hang on typical and default values")),
      element("div", { class: "inside" }, element("div", { class: "offers" }, button, help), told, wrong, table));
    let busy = false, of = ""; // of which text of the file the table is

    async function weigh() {
      busy = true;
      forget();
      show();
      told.textContent = "Each value is moved to both ends of its usual range and the whole setup judged again; that takes a minute or more …";
      try {
        const { base, told: words, heads, rows } = await Drafting.ask("typical", {});
        of = base;
        told.textContent = words;
        if (rows.length) {
          table.append(element("table", {}, element("caption", { class: "hidden" }, "What was not read off, what matters most first"),
            element("thead", {}, element("tr", {}, ...heads.map((/** @type {string} */ head) => element("th", { scope: "col" }, head)))),
            element("tbody", {}, ...rows.map((/** @type {any} */ row) => element("tr", { class: row.status },
              element("th", { scope: "row" }, element("button", { type: "button", onclick: () => go(row.place) }, row.field)), ...row.cells.map((/** @type {string} */ cell) => element("td", {}, cell)))))));
        }
      } catch (error) {
        told.textContent = "";
        wrong.textContent = `${/** @type {Error} */ (error).message}.`;
      }
      busy = false;
      show();
    }

    function forget() {
      of = "";
      wrong.textContent = "";
      table.replaceChildren();
    }

    function show() {
      const { stated } = draft;
      if (!stated) return;
      const why = stated.unsaved || !draft.idle() ? "save first" : stated.faults.length ? "mend first" : "";
      button.disabled = busy || Boolean(why);
      help.textContent = why || "a minute or more";
      if (of && (stated.unsaved || of !== stated.base)) {
        forget();
        told.textContent = "The setup is another since it was weighed.";
      }
    }

    return { root, show };
  }

  return { create };
})();
