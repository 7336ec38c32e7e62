// @ts-check
"use strict";
/* Buttons for what can be written of the setup: each runs a command on the file as it is saved and names what it wrote. */
const Making = (() => {
  const { element } = Controls;

  /** @type {(makers: {key: string, words: string, ending: string, choice: string, options: string[]}[], draft: any, number: number) => Part} */
  function create(makers, draft, number) {
    const said = element("div", { class: "made", role: "status" }), wrong = element("div", { class: "refused", role: "alert" });
    let busy = false;
    const rows = makers.map((maker) => {
      const id = `make-${maker.key}`, help = element("small", { id: `${id}-help` });
      const choice = maker.options.length ? element("select", { "aria-label": maker.choice }, element("option", { value: "" }, maker.choice), ...maker.options.map((name) => element("option", { value: name }, name))) : null;
      const button = element("button", { type: "button", id, "aria-describedby": help.id, onclick: () => make(maker, choice ? choice.value : "") }, `make the ${maker.words}`);
      if (choice) choice.addEventListener("change", show);
      return { maker, button, help, choice, root: element("div", { class: "offers" }, ...(choice ? [choice] : []), button, help) };
    });
    const root = element("details", { class: "group", "data-group": "make" }, element("summary", {}, element("span", { class: "n" }, String(number)), element("b", {}, "Write"), element("span", { class: "sum" }, "review page, setup sheet, drawings, boring program")),
      element("div", { class: "inside" }, ...rows.map((row) => row.root), said, wrong));

    async function make(maker, chosen, over = []) {
      busy = true;
      wrong.replaceChildren();
      said.textContent = `Making the ${maker.words} …`;
      show();
      try {
        const { names } = await Drafting.ask("make", { what: maker.key, chosen, over });
        said.textContent = `Written beside the file: ${names.join(", ")}. Not a release: a competent person gives that.`;
      } catch (error) {
        const { message, there } = /** @type {Refusal} */ (error);
        said.textContent = "";
        wrong.replaceChildren(element("p", {}, `${message}.`), ...(there ? [element("button", { type: "button", onclick: () => make(maker, chosen, there) }, `write over ${there.join(", ")}`)] : []));
      }
      busy = false;
      show();
    }

    function show() {
      const { stated } = draft;
      if (!stated) return;
      const why = stated.unsaved || !draft.idle() ? "save first" : stated.faults.length ? "mend first" : "";
      const stem = stated.file.replace(/\.toml$/, "");
      for (const { maker, button, help, choice } of rows) {
        const open = choice && !choice.value ? `choose the ${maker.choice}; it is not guessed` : "";
        button.disabled = busy || Boolean(why || open);
        help.textContent = why || open || `${stem}${maker.ending}`;
      }
    }

    return { root, show };
  }

  return { create };
})();
