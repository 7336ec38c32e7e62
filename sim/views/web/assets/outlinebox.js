// @ts-check
"use strict";
/* The editor of an outline: corners in a table, Ø and Z as typed, and the section that they make beside it. */
const OutlineBox = (() => {
  const { element } = Controls;

  /** `turned`: corners are (r, z), typed as diameters; else (x, z). `held()`: what the pocket covers, in mm, or null.
   * @type {(place: (string | number)[], field: FormField, draft: any, fields: any, options: {turned: boolean, held: () => {r: number, z: number} | null}) => Part} */
  function create(place, field, draft, fields, { turned, held }) {
    const id = Fields.idOf(place), name = Fields.words(field.key);
    const drawing = /** @type {SVGElement} */ (document.createElementNS("http://www.w3.org/2000/svg", "svg"));
    drawing.setAttribute("role", "img");
    drawing.setAttribute("class", "section");
    const said = element("p", { class: "drawn", role: "status" });
    const body = element("tbody"), faults = element("div", { class: "faults", id: `${id}-fault` });
    const heads = turned ? ["", "Ø", "Z", ""] : ["", "X", "Z", ""];
    const table = element("table", { class: "corners", "aria-describedby": `${id}-help ${id}-fault` },
      element("caption", { class: "hidden" }, `${name}, corner by corner`), element("thead", {}, element("tr", {}, ...heads.map((head) => element(head ? "th" : "td", head ? { scope: "col" } : {}, head)))), body);
    const size = element("input", { type: "text", id: `${id}-size`, value: "1 mm", size: "7", autocomplete: "off" });
    const refused = element("p", { class: "refused", role: "alert" });
    const act = (words, work) => element("button", { type: "button", onclick: work }, words);
    const chosenWords = element("span", { class: "which" });
    const tools = element("div", { class: "offers", role: "group", "aria-label": `Change the chosen corner of ${name}` },
      chosenWords, act("new corner after it", insert), act("remove it", remove),
      element("label", { for: `${id}-size` }, "by"), size, act("chamfer", () => broken(Outline.chamfer)), act("round", () => broken(Outline.round)));
    const root = element("div", { class: "nested outlinebox", role: "group", "data-place": Drafting.named(place), "aria-labelledby": `${id}-head` },
      element("div", { class: "head" }, element("h4", { id: `${id}-head` }, name), element("small", { id: `${id}-help` }, `${field.help}${turned ? "; typed as diameters. A taper is two corners; a rounded corner becomes corners at most " + Outline.OFF + " mm off the arc" : ""}`)),
      element("div", { class: "beside" }, element("div", {}, drawing, said), table), faults, tools, refused);
    /** @type {HTMLInputElement[][]} */
    let rows = [];
    let chosen = 0;

    const list = () => (Array.isArray(fields.at(place)) ? fields.at(place) : []);
    const out = (text, column) => (turned && column === 0 ? Outline.twice(Fields.written(text)) : Fields.written(text));
    const into = (text, column) => (turned && column === 0 ? Outline.half(text) : text);
    /** Corners [r or x, z] as they are typed now, in mm; null where one is no length. */
    const corners = () => rows.map((row) => {
      const [across, along] = row.map((input, column) => Outline.mm(into(input.value, column)));
      return across === null || along === null ? null : [across, along];
    });

    function draw() {
      const words = Section.draw(drawing, corners(), { held: held(), chosen, turned, name });
      if (said.textContent !== words) said.textContent = words;
      chosenWords.textContent = rows.length ? `corner ${chosen + 1}:` : "";
      body.childNodes.forEach((row, k) => /** @type {HTMLElement} */ (row).classList.toggle("chosen", k === chosen));
    }

    function choose(k) {
      chosen = k;
      draw();
    }

    function corner(k) {
      const inputs = [0, 1].map((column) => {
        const input = element("input", { type: "text", autocomplete: "off", spellcheck: "false", "aria-label": `${name}, corner ${k + 1}, ${heads[column + 1]}`, "aria-describedby": `${id}-fault` });
        input.addEventListener("focus", () => choose(k));
        input.addEventListener("input", () => {
          draw();
          draft.change([{ what: "set", place: [...place, k, column], value: into(input.value, column) }], { typing: true });
        });
        input.addEventListener("change", () => draft.rest());
        return input;
      });
      rows.push(inputs);
      return element("tr", { "data-corner": String(k) }, element("th", { scope: "row" }, element("button", { type: "button", "aria-label": `choose corner ${k + 1}`, onclick: () => choose(k) }, String(k + 1))),
        ...inputs.map((input) => element("td", {}, input)));
    }

    function insert() {
      const all = list(), here = all[chosen] || ["0 mm", "0 mm"], k = all.length ? chosen + 1 : 0;
      draft.change(fields.at(place) === undefined ? [{ what: "set", place, value: [here] }] : [{ what: "add", place: [...place, k], value: here }]);
      chosen = k;
    }

    function remove() {
      if (!list().length) return;
      draft.change([{ what: "remove", place: [...place, chosen] }]);
      chosen = Math.max(0, chosen - 1);
    }

    /** Put corners in the place of the chosen one, in one step. */
    function broken(work) {
      refused.textContent = "";
      const points = corners(), by = Outline.mm(size.value);
      if (by === null) { refused.textContent = `The size must be a length, as 1 mm, found '${size.value}'.`; return; }
      if (points.some((point) => !point)) { refused.textContent = "Mend the corners first: one of them is no length."; return; }
      try {
        const made = work(points, chosen, by);
        const stated = (/** @type {number[]} */ point) => point.map((value) => Outline.text(value));
        draft.change([{ what: "remove", place: [...place, chosen] },
          ...made.map((/** @type {number[]} */ point, /** @type {number} */ step) => ({ what: "add", place: [...place, chosen + step], value: stated(point) }))]);
      } catch (error) {
        refused.textContent = `Corner ${chosen + 1} stays as it is: ${/** @type {Error} */ (error).message}.`;
      }
    }

    return { root, show() {
      const all = list();
      if (rows.length !== all.length) {
        rows = [];
        body.replaceChildren(...all.map((_, k) => corner(k)));
      }
      chosen = Math.max(0, Math.min(chosen, all.length - 1));
      rows.forEach((row, k) => row.forEach((input, column) => {
        const value = out((all[k] || [])[column], column);
        if (input.value !== value && !(document.activeElement === input && draft.typing([...place, k, column]))) input.value = value;
        const wrong = fields.own([...place, k, column]).length + fields.own([...place, k]).length;
        input.setAttribute("aria-invalid", String(wrong > 0));
      }));
      const told = fields.within(place);
      const text = JSON.stringify(told);
      if (faults.dataset.told !== text) {
        faults.dataset.told = text;
        faults.replaceChildren(...told.map((fault) => element("p", {}, fault.place.length > place.length ? `Corner ${Number(fault.place[place.length]) + 1}: ${fault.words}` : fault.words)));
      }
      draw();
    } };
  }

  return { create };
})();
