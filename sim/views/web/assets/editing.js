// @ts-check
"use strict";
/* The panel in which a setup is stated by forms: what is changed and not saved, what is to be mended, the groups in the order
   of the work, and what can be written of it. The scene and the verdicts beside it are those of what is typed. */
const Editing = (() => {
  const { element } = Controls;

  /** `app`: the page, told of what is typed by `file()` (`scene` false: there is none yet); `root`: its element. */
  function create(root, app) {
    /** @type {any} */
    let form = null;
    /** @type {Part[]} */
    let groups = [];
    /** @type {Part | null} */
    let writing = null;
    /** @type {Part | null} */
    let weighing = null;
    let fields = null, opened = false, latest = { version: 0, revision: 0, mistake: "", outside: false };
    const draft = Drafting.create({
      shown: () => show(),
      pending: (typing) => { app.file({ typing }); bar(); if (writing) writing.show(); if (weighing) weighing.show(); },
      note: (words) => { if (note.textContent !== words) note.textContent = words; },
    });

    const pill = element("span", { class: "pill", role: "status" });
    const act = (words, work, keys = "") => element("button", { type: "button", onclick: work, ...(keys ? { "aria-keyshortcuts": keys } : {}) }, words);
    const undo = act("Undo", () => draft.undo(), "Control+Z"), redo = act("Redo", () => draft.redo(), "Control+Y"), save = act("Save", () => draft.save(), "Control+S");
    const next = element("button", { type: "button", class: "next", hidden: true, title: "go to the first", onclick: () => { if (draft.stated) go(draft.stated.faults[0]); } });
    const note = element("p", { class: "note", role: "alert" });
    const outside = element("div", { class: "outside", role: "alert", hidden: true },
      element("p", {}, "The file has been changed outside of this page. Nothing is saved over it."),
      act("put my changes onto the file as it is now", () => draft.ontoFile(false)), act("forget my changes", () => draft.ontoFile(true)));
    const mend = element("div", { class: "mend", hidden: true }), body = element("form", { class: "groups", novalidate: true, onsubmit: (event) => event.preventDefault() });
    const panel = element("section", { class: "edit", "aria-label": "Edit the setup", hidden: true },
      element("div", { class: "editbar" }, pill, next, undo, redo, save), note, outside, mend, body);
    const toggle = element("button", { type: "button", class: "tool editbutton", "aria-expanded": "false", onclick: () => open(!opened) }, "Edit");
    if (app.scene !== false) root.querySelector(".settings").prepend(toggle);
    root.querySelector(".bar").after(panel);

    async function open(wanted) {
      opened = wanted;
      panel.hidden = !wanted;
      root.classList.toggle("editing", wanted);
      toggle.setAttribute("aria-expanded", String(wanted));
      if (wanted) app.restate(); // the sliders are out of sight then: what is judged is what the forms state
      if (wanted && !form) {
        try { form = await Drafting.ask("form"); } catch (error) { note.textContent = `The forms cannot be had: ${/** @type {Error} */ (error).message}.`; return; }
        fields = Fields.create(form, draft, special);
        await draft.refresh();
      }
      app.resized();
    }

    /** Parts of their own: outlines, and how many operations there are. */
    function special(place, field) {
      const corner = field.item && field.item.kind === "row" && (field.item.items || []).length === 2 && (field.item.items || []).every((item) => item.kind === "quantity");
      if (corner) {
        const turned = place.includes("workpiece") || /_outline$/.test(field.key);
        return OutlineBox.create(place, field, draft, fields, { turned, held: () => (turned && place.includes("workpiece") ? held(place[1]) : null) });
      }
      if (place.length === 1 && field.key === "operations") return operations(place);
      return null;
    }

    /** What the jaws of an operation cover of its part, mm: the gripped radius and how deep the pocket is. */
    function held(number) {
      const operation = fields.at(["operations", number]) || {}, pockets = fields.at(["pockets"]) || [];
      const pocket = pockets.find((one) => (one.name || "pocket") === (operation.pocket || "pocket"));
      const low = Outline.mm((operation.workpiece || {}).gripped_diameter_low), depth = pocket && Outline.mm(pocket.depth);
      return low && depth ? { r: low / 2, z: depth } : null;
    }

    function operations(place) {
      const list = () => fields.at(place) || [];
      const buttons = element("p", { class: "offers" });
      return { root: element("div", { class: "nested" }, buttons), show() {
        buttons.replaceChildren(act("add an operation, as the last", () => draft.change([{ what: "add", place: [...place, list().length], value: copied(list()) }])),
          ...(list().length > 1 ? list().map((one, k) => act(`remove operation ${one.name || k + 1}`, () => draft.change([{ what: "remove", place: [...place, k] }]))) : []));
        buttons.firstChild.hidden = list().length >= 4;
      } };
    }

    const copied = (list) => ({ ...list[list.length - 1], name: `operation ${list.length + 1}` });

    /** One line on what a group states. */
    function told(key) {
      const at = (...place) => Fields.written(fields.at(place)), join = (...list) => list.filter((one) => one).join(", ");
      const list = (key_) => fields.at([key_]) || [];
      return {
        part: () => list("operations").map((one) => join((one.workpiece || {}).material, `Ø ${(one.workpiece || {}).gripped_diameter_high || "?"}`)).join("; "),
        chuck: () => join(at("chuck", "name"), at("chuck", "largest_grip") || at("chuck", "largest_pull"), at("chuck", "stroke")),
        jaws: () => join(at("soft_jaw", "material"), at("soft_jaw", "screws", "thread"), `${list("pockets").length} pocket${list("pockets").length === 1 ? "" : "s"}`),
        boring: () => join(at("boring", "fixture", "kind"), at("boring", "pressure"), at("boring", "speed")),
        cuts: () => list("operations").map((one) => join((one.gripping || {}).pressure, (one.gripping || {}).speed_high, `${(one.cuts || []).length} cut${(one.cuts || []).length === 1 ? "" : "s"}`)).join("; "),
      }[key]?.() || "";
    }

    /** A group: all its tables, made when it is opened for the first time or something in it is to be mended. */
    function group(one, number) {
      const sum = element("span", { class: "sum" }), flaw = element("span", { class: "count" });
      const inner = element("div", { class: "inside" });
      const details = element("details", { class: "group", "data-group": one.key }, element("summary", {}, element("span", { class: "n" }, String(number)), element("b", {}, one.title), sum, flaw), inner);
      /** @type {Part[]} */
      let parts = [];
      let shape = "";
      details.addEventListener("toggle", () => { if (details.open && draft.stated) fill(); });
      const operationsOf = () => (fields.at(["operations"]) || []).length;
      function fill() {
        const now = one.parts.some((part) => part.at.includes("*")) ? String(operationsOf()) : "all";
        if (now !== shape) {
          shape = now;
          parts = one.parts.flatMap((part) => made(part));
          inner.replaceChildren(...parts.map((part) => part.root));
        }
        for (const part of parts) part.show();
      }
      function made({ at, fields: names }) {
        const rootFields = form.tables[form.root].fields;
        if (at === "") return names.map((name) => fields.made([name], rootFields.find((field) => field.key === name)));
        if (!at.includes("*")) return [fields.made([at], rootFields.find((field) => field.key === at))];
        return Array.from({ length: operationsOf() }, (_, k) => {
          const table = fields.table(["operations", k], "Operation", names), head = element("h3");
          return { root: element("section", {}, head, table.root), show() {
            head.textContent = Fields.written(fields.at(["operations", k, "name"])) || `operation ${k + 1}`;
            table.show();
          } };
        });
      }
      return { root: details, owns: (place) => one.parts.some((part) => owns(part, place)), fill, show() {
        const { faults } = /** @type {Stated} */ (draft.stated), wrong = faults.filter((fault) => one.parts.some((part) => owns(part, fault.place))).length;
        sum.textContent = told(one.key);
        flaw.textContent = wrong ? `${wrong} to mend` : "";
        if (details.open) fill();
      } };
    }

    function owns({ at, fields: names }, place) {
      if (at === "") return names.includes(place[0]) && (place[0] !== "operations" || place.length < 3);
      if (!at.includes("*")) return place[0] === at;
      return place[0] === "operations" && names.includes(place[2]);
    }

    /** Open the group of a mistake and go to its field. */
    function go(fault) {
      const found = /** @type {any[]} */ (groups).find((one) => one.owns && one.owns(fault.place));
      if (!found) return;
      found.root.open = true;
      found.fill();
      for (let end = fault.place.length; end > 0; end -= 1) {
        const place = fault.place.slice(0, end), control = document.getElementById(Fields.idOf(place)) || panel.querySelector(`[data-place="${CSS.escape(Drafting.named(place))}"]`);
        if (!control) continue;
        for (let up = control.parentElement; up && up !== panel; up = up.parentElement) if (up instanceof HTMLDetailsElement) up.open = true;
        control.scrollIntoView({ block: "center" });
        const inside = control.matches("input, select, textarea") ? control : control.querySelector("[aria-invalid=true], input, select, button");
        if (inside instanceof HTMLElement) inside.focus({ preventScroll: true });
        return;
      }
    }

    function show() {
      const { stated } = draft;
      if (!stated || !fields) return;
      if (!groups.length) {
        groups = form.groups.map((one, k) => group(one, k + 1));
        if (app.scene !== false) {
          groups.push(weighing = Weighing.create(draft, groups.length + 1, (place) => go({ place })));
          groups.push(writing = Making.create(form.makers, draft, groups.length + 1));
        }
        body.replaceChildren(...groups.map((one) => one.root));
        /** @type {HTMLDetailsElement} */ (groups[0].root).open = true;
      }
      for (const one of groups) one.show();
      const { faults } = stated;
      mend.hidden = next.hidden = !faults.length;
      root.classList.toggle("mending", faults.length > 0); // what is wrong stands at its field: not over the scene, too
      next.textContent = `${faults.length} to mend`;
      const text = JSON.stringify(faults);
      if (mend.dataset.told !== text) {
        mend.dataset.told = text;
        mend.replaceChildren(element("h2", {}, `${faults.length} to mend; ${app.scene === false ? "nothing is judged before" : "the scene keeps the last setup that could be judged"}`),
          element("ul", {}, ...faults.map((fault) => element("li", {}, element("button", { type: "button", onclick: () => go(fault) }, fault.field || "file"), ` ${fault.words}`, unknown(fault)))));
      }
      outside.hidden = !stated.outside;
      app.file({ wanted: stated.judged_as });
      bar();
    }

    /** A key that no form has a field for can be taken out, not mended. */
    const unknown = (fault) => (/is not a key of/.test(fault.words) && typeof fault.place[fault.place.length - 1] === "string"
      ? element("button", { type: "button", onclick: () => draft.change([{ what: "unset", place: fault.place }]) }, "leave it out") : null);

    function bar() {
      const { stated } = draft, count = draft.unsaved;
      undo.disabled = !draft.steps;
      redo.disabled = !draft.undone;
      save.disabled = !stated || (!stated.unsaved && draft.idle()) || stated.outside;
      const words = !stated ? "" : stated.unsaved || !draft.idle() ? `${count ? `${count} change${count === 1 ? "" : "s"}` : "changes undone"}, not saved` : `saved: ${stated.file}`;
      if (pill.textContent !== words) pill.textContent = words;
      pill.classList.toggle("unsaved", Boolean(stated && (stated.unsaved || !draft.idle())));
    }

    panel.addEventListener("keydown", (event) => {
      if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
      const key = event.key.toLowerCase(), work = key === "s" ? draft.save : key === "y" || (key === "z" && event.shiftKey) ? draft.redo : key === "z" ? draft.undo : null;
      if (!work) return;
      event.preventDefault();
      work();
    });
    // Also where the panel is closed: what is typed is not in the file yet.
    addEventListener("beforeunload", (event) => { if (!draft.idle()) event.preventDefault(); });

    /** Take in what the program says: another tab's changes, a file changed outside. */
    function heard(file) {
      const other = ["version", "revision", "mistake", "outside"].some((key) => latest[key] !== file[key]);
      latest = { ...latest, ...file };
      const { stated } = draft;
      if (!form || !stated || !draft.idle() || !other) return;
      if (file.revision > stated.revision || file.revision !== stated.judged_as || file.outside !== stated.outside || !stated.unsaved) draft.refresh();
    }

    return { open, heard, settled: draft.settled, get draft() { return { steps: draft.steps, undone: draft.undone, stated: draft.stated, idle: draft.idle() }; }, refresh: draft.refresh };
  }

  return { create };
})();
