// @ts-check
"use strict";
/* Forms out of the schema: each field a part with its element and `show()`, which takes over what the program says. */
/** @typedef {{key: string, kind: string, required: boolean, optional: boolean, help: string, default: any, units?: string[], example?: string,
 *   options?: string[], table?: string, tables?: Record<string, string>, item?: any, items?: any[], least?: number, most?: number, long?: boolean}} FormField */
/** @typedef {{root: HTMLElement, show: () => void}} Part */
const Fields = (() => {
  const { element } = Controls;
  const words = (key) => key.replace(/_/g, " ").replace(/\bdiameter\b/g, "Ø");
  const written = (value) => (value === undefined || value === null ? "" : Array.isArray(value) ? value.join(", ") : String(value));
  const idOf = (place) => `field-${place.join("-")}`;

  /** `form`: what there is; `draft`: the changes (see `Drafting`); `special(place, field)`: a part of its own, or null. */
  function create(form, draft, special) {
    const at = (place) => Drafting.at(draft.stated.values, place);
    const full = (place) => Drafting.at(draft.stated.full, place);
    const own = (place) => draft.stated.faults.filter((fault) => Drafting.same(fault.place, place));
    const within = (place) => draft.stated.faults.filter((fault) => fault.place.length >= place.length && Drafting.same(fault.place.slice(0, place.length), place));
    const set = (place, value, how) => draft.change([{ what: "set", place, value }], how);
    const unset = (place, how) => draft.change([{ what: "unset", place }], how);
    const typical = (place) => (draft.stated.values.typical || []).some((name) => { const plain = place.filter((step) => typeof step === "string").join("."); return plain === name || plain.startsWith(`${name}.`); });

    /** A button with which a table or field that is named as typical counts as read off; hidden where it is not named. */
    function readOff(place) {
      const name = place.join(".");
      const root = element("button", { type: "button", class: "readoff", hidden: true, "aria-label": `${words(name)}: I have read this off`,
        onclick: () => { const rest = (at(["typical"]) || []).filter((one) => one !== name); if (rest.length) set(["typical"], rest); else unset(["typical"]); } }, "I have read this off");
      return { root, show: () => { root.hidden = !(at(["typical"]) || []).includes(name); } };
    }

    /** Words at a field that is not stated, or not read off. */
    function basis(place, field) {
      const stated = at(place), taken = full(place);
      if (stated === undefined && taken !== undefined) return `from a file: ${written(taken)}. `;
      if (stated !== undefined && taken !== undefined && JSON.stringify(stated) !== JSON.stringify(taken)) return `a file that is included states ${written(taken)}, which counts. `;
      if (stated === undefined && field.default !== null) return `default ${written(field.default)}: `;
      return typical(place) ? "typical, not read off: " : "";
    }

    /** The list of mistakes under a field, with the units to choose from where only a number was typed. */
    function faultList(place, field, list) {
      const id = `${idOf(place)}-fault`;
      const root = element("div", { class: "faults", id });
      let told = "";
      return { root, id, show(faults) {
        const text = JSON.stringify([faults.map((fault) => fault.words), at(place)]);
        if (text === told) return;
        told = text;
        const typed = written(at(place)), bare = list !== true && field.kind === "quantity" && /^\s*[+-]?\d*\.?\d+\s*$/.test(typed);
        root.replaceChildren(...faults.map((fault) => element("p", {}, fault.words)),
          ...(bare && faults.length ? [element("p", { class: "offers" }, "Which unit? ", ...(field.units || []).map((unit) => element("button", { type: "button", onclick: () => set(place, `${typed.trim()} ${unit}`) }, `${typed.trim()} ${unit}`)))] : []));
      } };
    }

    /** A label, a control and what is said of it. `control`: takes text, has `value`. */
    function row(place, field, control, listed) {
      const help = element("small", { id: `${idOf(place)}-help` }), faults = faultList(place, field, listed);
      control.setAttribute("id", idOf(place));
      control.setAttribute("aria-describedby", `${help.id} ${faults.id}`);
      const label = element("label", { for: idOf(place) }, words(field.key));
      if (field.required) control.setAttribute("aria-required", "true");
      const off = readOff(place);
      return { off, root: element("div", { class: field.kind === "quantity" || field.kind === "whole number" || field.kind === "number" ? "field short" : "field", "data-place": Drafting.named(place) }, label, control, help, off.root, faults.root), help, faults };
    }

    function mark(made, control, place, field, faults) {
      const stated = at(place) !== undefined;
      made.root.classList.toggle("unstated", !stated);
      control.setAttribute("aria-invalid", String(faults.length > 0));
      made.faults.show(faults);
      made.off.show();
      const text = basis(place, field) + field.help;
      if (made.help.textContent !== text) made.help.textContent = text;
    }

    /** @type {(place: (string | number)[], field: FormField) => Part} */
    function text(place, field) {
      const names = form.names[field.key], list = names ? `${idOf(place)}-names` : "";
      const control = element(field.long ? "textarea" : "input", { autocomplete: "off", spellcheck: "false", ...(field.long ? { rows: "3" } : { type: "text" }), ...(list ? { list } : {}) });
      const made = row(place, field, control, false);
      if (names) made.root.append(element("datalist", { id: list }, ...names.map((name) => element("option", { value: name }))));
      const taken = (typing) => { if (control.value.trim() === "" && at(place) === undefined && !draft.typing(place)) return; if (control.value.trim() === "") unset(place, { typing }); else set(place, control.value, { typing }); };
      control.addEventListener("input", () => taken(true));
      control.addEventListener("change", () => draft.rest());
      return { root: made.root, show() {
        const value = written(at(place));
        // What is being typed stays as it is typed, also where the file says it in fewer letters.
        if (control.value !== value && !(document.activeElement === control && draft.typing(place))) control.value = value;
        control.placeholder = written(full(place) === undefined ? field.default : full(place)) || (field.required && field.example ? `as ${field.example}` : "");
        mark(made, control, place, field, own(place));
      } };
    }

    /** @type {(place: (string | number)[], field: FormField) => Part} */
    function choice(place, field) {
      const options = field.kind === "yes or no" ? ["true", "false"] : field.options || [];
      const shown = (name) => (field.kind === "yes or no" ? { true: "yes", false: "no" }[name] || name : name);
      const none = element("option", { value: "" }, field.default !== null ? `default: ${shown(written(field.default))}` : field.required ? "choose" : "not stated");
      const other = element("option", { hidden: true });
      const control = element("select", {}, none, other, ...options.map((name) => element("option", { value: name }, shown(name))));
      const made = row(place, field, control, false);
      control.addEventListener("change", () => { if (control.value === "") unset(place); else set(place, control.value); });
      return { root: made.root, show() {
        const value = written(at(place));
        other.hidden = value === "" || options.includes(value);
        other.value = other.hidden ? "?" : value;
        other.textContent = value;
        control.value = value;
        mark(made, control, place, field, own(place));
      } };
    }

    /** A list of texts or numbers on one line, parted by commas. */
    function series(place, field) {
      const control = element("input", { type: "text", autocomplete: "off", spellcheck: "false" });
      const made = row(place, field, control, true);
      const taken = (typing) => {
        const parts = control.value.split(",").map((one) => one.trim());
        if (control.value.trim() === "") unset(place, { typing }); else set(place, parts, { typing });
      };
      control.addEventListener("input", () => taken(true));
      control.addEventListener("change", () => draft.rest());
      return { root: made.root, show() {
        const value = written(at(place));
        if (control.value !== value && !(document.activeElement === control && draft.typing(place))) control.value = value;
        const inner = field.item || (field.items || [])[0] || {};
        control.placeholder = written(field.default) || (inner.example ? `as ${inner.example}, parted by commas` : "parted by commas");
        mark(made, control, place, field, within(place));
      } };
    }

    /** The fields of a table: those stated, required or wrong in front, the others folded.
     * @type {(place: (string | number)[], name: string, only?: string[]) => Part} */
    function table(place, name, only = []) {
      const fields = form.tables[name].fields.filter(({ key }) => !only.length || only.includes(key));
      const root = element("div", { class: "fields" }), more = element("details", { class: "more" }), summary = element("summary");
      const parts = new Map(fields.map((field) => [field.key, made([...place, field.key], field)]));
      const ahead = new Set(); // what stands in front stays there, so that nothing jumps under the hand
      let built = "";
      const first = (field) => field.required || at([...place, field.key]) !== undefined || within([...place, field.key]).length > 0;
      function build() {
        if (more.contains(document.activeElement)) return; // what is typed moves to the front when the hand has left it
        for (const field of fields) if (first(field)) ahead.add(field.key);
        const front = fields.filter((field) => ahead.has(field.key)), back = fields.filter((field) => !ahead.has(field.key));
        const now = JSON.stringify([...ahead]);
        if (now === built) return;
        built = now;
        const focused = document.activeElement;
        root.replaceChildren(...front.map((field) => parts.get(field.key).root));
        summary.textContent = `${back.length} more, not stated`;
        more.replaceChildren(summary, ...back.map((field) => parts.get(field.key).root));
        if (back.length) root.append(more);
        if (focused instanceof HTMLElement && root.contains(focused)) focused.focus({ preventScroll: true });
      }
      return { root, show() {
        build();
        for (const part of parts.values()) part.show();
      } };
    }

    const label = (place, field) => element("h4", { id: `${idOf(place)}-head` }, words(field.key));

    /** A table of its own under its name, which may be left out where it is optional.
     * @type {(place: (string | number)[], field: FormField) => Part} */
    function nested(place, field) {
      const body = element("div"), faults = faultList(place, field, true);
      const button = element("button", { type: "button" }), off = readOff(place);
      const head = element("div", { class: "head" }, label(place, field), element("small", {}, field.help), element("span", {}, off.root, " ", button));
      let inner = null;
      button.addEventListener("click", () => { if (at(place) === undefined) set(place, {}); else unset(place); });
      return { root: element("div", { class: "nested", role: "group", "data-place": Drafting.named(place), "aria-labelledby": `${idOf(place)}-head` }, head, faults.root, body), show() {
        const there = at(place) !== undefined || full(place) !== undefined || !field.optional;
        button.hidden = !field.optional;
        button.textContent = at(place) === undefined ? `state ${words(field.key)}` : "leave out";
        if (there !== Boolean(inner)) {
          inner = there && field.table ? table(place, field.table) : null;
          body.replaceChildren(...(inner ? [inner.root] : []));
        }
        off.show();
        faults.show(own(place));
        if (inner) inner.show();
      } };
    }

    /** One of several kinds of table. */
    function either(place, field) {
      const kinds = field.tables || {};
      const control = element("select", {}, element("option", { value: "" }, field.required ? "choose" : "not stated"), ...Object.keys(kinds).map((kind) => element("option", { value: kind }, kind)));
      const made = row(place, field, control, true), body = element("div", { class: "nested" });
      let inner = null, kind = "";
      control.addEventListener("change", () => {
        if (control.value === "") { unset(place); return; }
        const known = form.tables[kinds[control.value]].fields.map((one) => one.key), before = at(place) || {};
        set(place, { ...Object.fromEntries(Object.entries(before).filter(([key]) => known.includes(key))), kind: control.value });
      });
      return { root: element("div", {}, made.root, body), show() {
        const now = written((at(place) || full(place) || {}).kind);
        control.value = now in kinds ? now : "";
        if (now !== kind) {
          kind = now;
          const name = kinds[now];
          const others = name ? form.tables[name].fields.map((one) => one.key).filter((key) => key !== "kind") : [];
          inner = others.length ? table(place, name, others) : null;
          body.replaceChildren(...(inner ? [inner.root] : []));
        }
        mark(made, control, place, field, [...own(place), ...own([...place, "kind"])]);
        if (inner) inner.show();
      } };
    }

    /** A list of tables, each folded under its name; one more is a copy of the last.
     * @type {(place: (string | number)[], field: FormField) => Part} */
    function tables(place, field) {
      const faults = faultList(place, field, true), body = element("div"), name = words(field.key);
      const none = element("button", { type: "button", onclick: () => set(place, []) }, "state that there are none");
      const add = element("button", { type: "button", onclick: () => {
        const list = at(place) || [], last = list[list.length - 1];
        const copy = last ? { ...last, ...(last.name ? { name: `${last.name} ${list.length + 1}` } : {}) } : {};
        draft.change([{ what: "add", place: [...place, list.length], value: copy }]);
      } }, `add to ${name}`);
      let parts = [], count = -1;
      function item(k) {
        const inner = table([...place, k], field.table || ""), title = element("b"), told = element("span", { class: "sum" }), flaw = element("span", { class: "count" });
        const remove = element("button", { type: "button", onclick: () => draft.change([{ what: "remove", place: [...place, k] }]) }, "remove");
        const root = element("details", { class: "item" }, element("summary", {}, title, told, flaw), inner.root, remove);
        return { root, show() {
          const value = at([...place, k]) || {};
          title.textContent = written(value.name) || `${name} ${k + 1}`;
          remove.setAttribute("aria-label", `remove ${title.textContent}`);
          told.textContent = Object.entries(value).filter(([key, one]) => key !== "name" && typeof one === "string" && one.length < 24).slice(0, 5).map(([, one]) => one).join(", ");
          const wrong = within([...place, k]).length;
          flaw.textContent = wrong ? `${wrong} to mend` : "";
          if (wrong) root.open = true;
          inner.show();
        } };
      }
      return { root: element("div", { class: "nested", role: "group", "data-place": Drafting.named(place), "aria-labelledby": `${idOf(place)}-head` },
        element("div", { class: "head" }, label(place, field), element("small", {}, field.help)), faults.root, body, element("p", { class: "offers" }, add, none)), show() {
        const list = at(place) || [];
        if (list.length !== count) {
          count = list.length;
          const open = parts.map((part) => part.root.open);
          parts = list.map((_, k) => item(k));
          parts.forEach((part, k) => { part.root.open = open[k] === undefined ? count === 1 || open.length > 0 : open[k]; });
          body.replaceChildren(...parts.map((part) => part.root));
        }
        none.hidden = at(place) !== undefined || (field.least || 0) > 0;
        add.hidden = list.length >= (field.most || 100);
        faults.show(own(place));
        for (const part of parts) part.show();
      } };
    }

    /** @type {(place: (string | number)[], field: FormField) => Part} */
    function made(place, field) {
      const part = special(place, field);
      if (part) return part;
      if (field.kind === "choice" || field.kind === "yes or no") return choice(place, field);
      if (field.kind === "table") return nested(place, field);
      if (field.kind === "either") return either(place, field);
      if (field.kind === "tables") return tables(place, field);
      if (field.kind === "row" || field.kind === "list") return series(place, field);
      return text(place, field);
    }

    return { table, made, at, full, own, within, set };
  }

  return { create, words, idOf, written };
})();
