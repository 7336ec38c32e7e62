// @ts-check
"use strict";
/* The editor of an outline: corners in a table, Ø and Z as typed, and the section that they make beside it. */
const OutlineBox = (() => {
  const { element } = Controls;
  // What a corner of a part can be: the key that its size stands at, what else is stated with it, and its words.
  const FORMS = [
    { key: "", also: {}, words: "sharp" },
    { key: "chamfer", also: {}, words: "chamfer" },
    { key: "radius", also: {}, words: "rounded" },
    { key: "arc", also: { curve: "convex" }, words: "convex arc to it" },
    { key: "arc", also: { curve: "concave" }, words: "concave arc to it" },
    { key: "arc", also: { curve: "convex", longer: true }, words: "longer convex arc" },
    { key: "arc", also: { curve: "concave", longer: true }, words: "longer concave arc" },
  ];

  /** `turned`: corners are (r, z), typed as diameters; else (x, z). `held()`: what the pocket covers, in mm, or null.
   * @type {(place: (string | number)[], field: FormField, draft: any, fields: any, options: {turned: boolean, held: () => {r: number, z: number} | null}) => Part} */
  function create(place, field, draft, fields, { turned, held }) {
    const id = Fields.idOf(place), name = Fields.words(field.key);
    const drawing = /** @type {SVGElement} */ (document.createElementNS("http://www.w3.org/2000/svg", "svg"));
    drawing.setAttribute("role", "img");
    drawing.setAttribute("class", "section");
    const said = element("p", { class: "drawn", role: "status" });
    const body = element("tbody"), faults = element("div", { class: "faults", id: `${id}-fault` });
    const shapes = Boolean(field.table); // its corners can be told to be arcs, chamfers and roundings
    const heads = [...(turned ? ["", "Ø", "Z"] : ["", "X", "Z"]), ...(shapes ? ["What it is", "R, leg"] : [""])];
    const table = element("table", { class: "corners", "aria-describedby": `${id}-help ${id}-fault` },
      element("caption", { class: "hidden" }, `${name}, corner by corner`), element("thead", {}, element("tr", {}, ...heads.map((head) => element(head ? "th" : "td", head ? { scope: "col" } : {}, head)))), body);
    const size = element("input", { type: "text", id: `${id}-size`, value: "1 mm", size: "7", autocomplete: "off" });
    const refused = element("p", { class: "refused", role: "alert" });
    const act = (words, work) => element("button", { type: "button", onclick: work }, words);
    const chosenWords = element("span", { class: "which" });
    const tools = element("div", { class: "offers", role: "group", "aria-label": `Change the chosen corner of ${name}` },
      chosenWords, act("new corner after it", insert), act("remove it", remove),
      element("label", { for: `${id}-size` }, "by"), size, act("chamfer", () => shapes ? sized("chamfer") : broken(Outline.chamfer)), act("round", () => shapes ? sized("radius") : broken(Outline.round)));
    const root = element("div", { class: `nested outlinebox${shapes ? " shaped" : ""}`, role: "group", "data-place": Drafting.named(place), "aria-labelledby": `${id}-head` },
      element("div", { class: "head" }, element("h4", { id: `${id}-head` }, name), element("small", { id: `${id}-help` }, `${field.help}${turned ? "; typed as diameters. A taper is two corners" : ""}${shapes ? ". Of an arc to a corner: convex, the metal bulges out; concave, the arc hollows it; the shorter arc unless the longer is chosen" : `. A rounded corner becomes corners at most ${Outline.OFF} mm off the arc`}`)),
      element("div", { class: "beside" }, element("div", {}, drawing, said), table), faults, tools, refused);
    /** @type {{inputs: HTMLInputElement[], form: HTMLSelectElement, size: HTMLInputElement}[]} */
    let rows = [];
    let chosen = 0;

    const list = () => (Array.isArray(fields.at(place)) ? fields.at(place) : []);
    const out = (text, column) => (turned && column === 0 ? Outline.twice(Fields.written(text)) : Fields.written(text));
    const into = (text, column) => (turned && column === 0 ? Outline.half(text) : text);
    /** Whether a corner is a table, which says more than its place. */
    const isShaped = (corner) => corner !== null && typeof corner === "object" && !Array.isArray(corner);
    const placed = (corner) => (isShaped(corner) ? corner.at || [] : corner || []);
    /** Where a coordinate of a corner stands. */
    const coordinate = (k, column) => [...place, k, ...(isShaped(list()[k]) ? ["at"] : []), column];
    /** Which of `FORMS` a corner has. */
    const formOf = (corner) => (isShaped(corner) ? FORMS.findIndex(({ key, also }) => key && key in corner && (key !== "arc" || (also.curve === (corner.curve || "convex") && Boolean(also.longer) === (String(corner.longer) === "true")))) : 0);
    /** Corners as they are typed now, in mm; null where one is no length. */
    const corners = () => rows.map((row) => {
      const [across, along] = row.inputs.map((input, column) => Outline.mm(into(input.value, column)));
      if (across === null || along === null) return null;
      const { key, also } = FORMS[Number(row.form.value)] || FORMS[0], size = Outline.mm(row.size.value);
      return { at: [across, along], ...(key && size ? { [key]: size, convex: also.curve === "convex", longer: Boolean(also.longer) } : {}) };
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
          draft.change([{ what: "set", place: coordinate(k, column), value: into(input.value, column) }], { typing: true });
        });
        input.addEventListener("change", () => draft.rest());
        return input;
      });
      const called = `${name}, corner ${k + 1}`;
      const form = element("select", { "aria-label": `${called}, what it is`, "aria-describedby": `${id}-fault` }, ...FORMS.map(({ words }, n) => element("option", { value: String(n) }, words)), element("option", { value: "-1", hidden: true }, "to be mended"));
      const own = element("input", { type: "text", autocomplete: "off", spellcheck: "false", class: "size", "aria-label": `${called}, radius or leg`, "aria-describedby": `${id}-fault` });
      form.addEventListener("focus", () => choose(k));
      own.addEventListener("focus", () => choose(k));
      form.addEventListener("change", () => { state(k, Number(form.value), own.value); if (Number(form.value) > 0) own.focus(); });
      own.addEventListener("input", () => {
        draw();
        draft.change([{ what: "set", place: [...place, k, FORMS[Number(form.value)].key], value: own.value }], { typing: true });
      });
      own.addEventListener("change", () => draft.rest());
      rows.push({ inputs, form, size: own });
      return element("tr", { "data-corner": String(k) }, element("th", { scope: "row" }, element("button", { type: "button", "aria-label": `choose corner ${k + 1}`, onclick: () => choose(k) }, String(k + 1))),
        ...inputs.map((input) => element("td", {}, input)), ...(shapes ? [element("td", {}, form), element("td", {}, own)] : []));
    }

    /** State a corner in one of `FORMS`: what it was keeps its place. A size that is not typed yet is asked for at the field. */
    function state(k, form, given) {
      const at = [...placed(list()[k])], { key, also } = FORMS[form];
      draft.change([{ what: "set", place: [...place, k], value: key ? { at, [key]: given, ...also } : at }]);
    }

    /** Break the chosen corner by the size beside the buttons. */
    function sized(key) {
      refused.textContent = "";
      if (!list().length) return;
      if (Outline.mm(size.value) === null) { refused.textContent = `The size must be a length, as 1 mm, found '${size.value}'.`; return; }
      state(chosen, FORMS.findIndex((one) => one.key === key), size.value);
    }

    function insert() {
      const all = list(), here = all.length ? [...placed(all[chosen])] : ["0 mm", "0 mm"], k = all.length ? chosen + 1 : 0;
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
      const points = corners().map((corner) => corner && corner.at), by = Outline.mm(size.value);
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
      rows.forEach((row, k) => {
        const wrong = (...at) => String(fields.own(at).length + fields.own([...place, k]).length > 0);
        row.inputs.forEach((input, column) => {
          const value = out(placed(all[k])[column], column);
          if (input.value !== value && !(document.activeElement === input && draft.typing(coordinate(k, column)))) input.value = value;
          input.setAttribute("aria-invalid", wrong(...coordinate(k, column)));
        });
        const form = formOf(all[k]), { key } = FORMS[form] || FORMS[0], stated = key ? Fields.written(all[k][key]) : "";
        row.form.value = String(form);
        row.size.hidden = !key;
        if (row.size.value !== stated && !(document.activeElement === row.size && draft.typing([...place, k, key]))) row.size.value = stated;
        row.size.setAttribute("aria-invalid", wrong(...place, k, key));
      });
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
