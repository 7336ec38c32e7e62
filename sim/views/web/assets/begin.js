// @ts-check
"use strict";
/* The page before there is a setup: what a setter knows, asked in one form; the program makes the file and shows it. */
(() => {
  const { element } = Controls;
  const root = /** @type {HTMLElement} */ (document.getElementById("begin"));
  const data = JSON.parse(/** @type {HTMLElement} */ (document.getElementById("begin-data")).textContent || "");
  /** @type {Record<string, {control: any, faults: HTMLElement, question: any}>} */
  const fields = {};

  function field(question) {
    const id = `begin-${question.key}`, help = element("small", { id: `${id}-help` }), faults = element("div", { class: "faults", id: `${id}-fault` });
    const described = { id, name: question.key, "aria-describedby": `${help.id} ${faults.id}`, "aria-required": String(Boolean(question.needed)), autocomplete: "off", spellcheck: "false" };
    const control = question.options
      ? element("select", described, element("option", { value: "" }, "choose"), ...question.options.map((name) => element("option", { value: name }, name)))
      : element("input", { type: "text", ...described });
    help.textContent = question.help;
    fields[question.key] = { control, faults, question };
    control.addEventListener("input", () => { wrong(question.key, ""); usual(); });
    return element("div", { class: `field${question.needed ? "" : " unstated"}` }, element("label", { for: id }, question.label), control, help, faults);
  }

  function wrong(key, words) {
    const { control, faults } = fields[key];
    control.setAttribute("aria-invalid", String(Boolean(words)));
    faults.replaceChildren(...(words ? [element("p", {}, words)] : []));
  }

  /** What is taken where nothing is answered; of the plate what is typical of the class. */
  function usual() {
    const plate = data.plates[fields.chuck.control.value] || {};
    for (const [key, { control, question }] of Object.entries(fields)) {
      if (question.options) continue;
      control.placeholder = question.typical ? plate[key] || "typical of the class" : question.usual || (question.example ? `as ${question.example}` : "");
      control.closest(".field").classList.toggle("unstated", !control.value);
    }
  }

  const button = element("button", { type: "submit" }, "make the setup");
  const told = element("p", { class: "told", role: "status" });
  const form = element("form", { novalidate: true, onsubmit: begin },
    ...data.groups.map((group) => element("fieldset", {}, element("legend", {}, group.title), ...group.questions.map(field))),
    element("fieldset", {}, element("legend", {}, "File"), field({ key: "file", label: "name of the file", help: `is made in ${data.folder}; nothing that is there is written over`, needed: true, example: "bearing cap.toml" })),
    element("div", { class: "go" }, button, told));
  root.append(element("h1", {}, "Begin a setup"),
    element("p", {}, "One round part, gripped outside in one bored pocket. What you do not know is taken as typical of the chuck's class and marked so; everything can be changed afterwards. Lengths with their unit: 90 mm, 3 5/8 in."), form);
  usual();

  async function begin(event) {
    event.preventDefault();
    const answers = Object.fromEntries(Object.entries(fields).map(([key, { control }]) => [key, control.value]));
    button.disabled = true;
    told.className = "told";
    told.textContent = "Looking for pressures and judging; a new part takes some seconds …";
    for (const key of Object.keys(fields)) wrong(key, "");
    try {
      await Drafting.ask("begin", { answers });
      location.hash = "edit";
      location.reload();
    } catch (error) {
      const { message, fields: list } = /** @type {Refusal} */ (error);
      told.className = "told refused";
      told.textContent = `${message}.`;
      const keys = Object.keys(fields).filter((key) => list && list[key]);
      for (const key of keys) wrong(key, /** @type {Record<string, string>} */ (list)[key]);
      if (keys.length) fields[keys[0]].control.focus();
      button.disabled = false;
    }
  }
  Object.assign(window, { begun: true });
})();
