// @ts-check
"use strict";
/* Sliders with a field for the exact value beside each. */
const Controls = (() => {
  const RAD = Math.PI / 180;
  const SLIDERS = [
    { key: "travel_mm", name: "Jaw travel", kind: "length" },
    { key: "speed_rpm", name: "Spindle speed", kind: "speed" },
    { key: "pressure_bar", name: "Pressure", kind: "pressure" },
    { key: "bore_mm", name: "Pocket bore", kind: "length", optional: true },
    { key: "depth_mm", name: "Pocket depth", kind: "length", optional: true },
    { key: "spindle_angle_rad", name: "Spindle angle", kind: "angle", factor: RAD, range: [0, 360, 1] },
    { key: "position_mm", name: "Cutting path", kind: "length" },
  ];

  function element(name, attributes = {}, ...children) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) {
      if (value === false || value === null || value === undefined) continue;
      if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
      else made.setAttribute(key, value === true ? "" : value);
    }
    made.append(...children.filter((child) => child !== null && child !== undefined));
    return made;
  }

  /** Write words where they are not written yet: what is written again is laid out and drawn again. */
  function write(place, words) {
    if (place.textContent !== words) place.textContent = words;
  }

  /** Give a place these children, unless it has the like of them. */
  function renew(place, ...children) {
    if (children.length === place.childNodes.length && children.every((child, k) => child.isEqualNode(place.childNodes[k]))) return;
    place.replaceChildren(...children);
  }

  const rangeOf = (slider, stage) => slider.range || stage.ranges[slider.key] || null;

  /** One slider: its name, a field, the unit, the bar and what is marked on it. */
  function one(slider, changed, held_) {
    const id = `slider-${slider.key}`;
    const bar = element("input", { type: "range", id, "aria-describedby": `${id}-note` });
    const field = element("input", { type: "number", "aria-label": `${slider.name}, exact value`, step: "any" });
    const unit = element("span", { class: "unit" });
    const marks = element("div", { class: "marks", "aria-hidden": "true" });
    const note = element("p", { class: "note", id: `${id}-note` });
    const extra = element("span", { class: "extra" });
    const entry = element("span", { class: "entry" }, field, unit);
    const root = element("div", { class: "slider", "data-slider": slider.key },
      element("div", { class: "head" }, element("label", { for: id }, slider.name), extra, note, entry),
      element("div", { class: "track" }, bar, marks));
    const factor = slider.factor || 1;
    let stops = null; // where only some values can be had, these
    let typing = false;
    const stepSize = () => Number(bar.dataset.step) || (Number(bar.max) - Number(bar.min)) / 100;
    const held = (value) => Math.max(Number(bar.min), Math.min(Number(bar.max), value));
    const nearest = (value) => stops.reduce((best, s) => (Math.abs(s - value) < Math.abs(best - value) ? s : best));
    const stepped = (value) => (stops ? nearest(value) : value >= Number(bar.max) ? value : held(Math.round(value / stepSize()) * stepSize()));
    bar.addEventListener("input", () => { held_(true); changed(slider.key, stepped(Number(bar.value)) * factor); });
    bar.addEventListener("change", () => held_(false));
    // What is being typed stays as it is, whatever comes in meanwhile, until it is taken or left.
    field.addEventListener("input", () => { typing = true; });
    field.addEventListener("blur", () => { if (typing) { typing = false; show.again(); } });
    field.addEventListener("change", () => {
      typing = false;
      const typed = Units.back(Number(field.value), slider.kind);
      if (field.value === "" || !Number.isFinite(typed)) { show.again(); return; }
      changed(slider.key, (stops ? nearest(typed) : held(typed)) * factor);
    });
    /** `permissible`: highest speed (rev/min) that the state allows; null without a limit, undefined where it is not known. */
    function show(stage, values, permissible) {
      show.again = () => show(stage, values, permissible);
      const range = rangeOf(slider, stage);
      const fixed = (stage.fixed || {})[slider.key];
      const value = (values[slider.key] || 0) / factor;
      root.hidden = Boolean(slider.optional) && !range;
      root.classList.toggle("fixed", !range || Boolean(fixed));
      bar.disabled = field.disabled = !range || Boolean(fixed);
      const [low, high, step] = range || [0, (stage.tops || {})[slider.key] || 1, "any"];
      // The value may lie between two steps (a first touch does): the bar shows it as it is, only moves are stepped.
      Object.assign(bar, { min: low, max: high, step: "any", value });
      bar.dataset.step = step;
      stops = (stage.stops || {})[slider.key] || null;
      if (!typing && (document.activeElement !== field || Number(field.value) !== value)) field.value = Units.number(value, slider.kind);
      write(unit, Units.unit(slider.kind));
      bar.setAttribute("aria-valuetext", Units.shown(value, slider.kind));
      write(note, fixed || "");
      root.title = fixed || "";
      entry.hidden = Boolean(fixed) && !(slider.key in values);
      note.classList.toggle("hidden", !entry.hidden);
      const limit = slider.key === "speed_rpm" && stage.marks && typeof permissible === "number" ? [[permissible, "permissible"]] : [];
      renew(marks, ...[...((stage.marks || {})[slider.key] || []), ...limit].filter(([at]) => at >= low && at <= high).map(([at, name]) => {
        const mark = element("i", { title: `${name}: ${Units.shown(at, slider.kind)}` });
        mark.style.left = `${100 * (at - low) / (high - low)}%`;
        return mark;
      }));
    }
    show.again = () => {};
    // Steps by the arrow keys are the slider's own, even where its value lies between two of them.
    bar.addEventListener("keydown", (event) => {
      const step = stepSize();
      const moves = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 };
      let value = Number(bar.value);
      if (event.key in moves && stops) value = stops[Math.max(0, Math.min(stops.length - 1, stops.indexOf(nearest(value)) + moves[event.key]))];
      else if (event.key in moves) value = (moves[event.key] > 0 ? Math.floor(value / step + 1e-6) : Math.ceil(value / step - 1e-6)) * step + moves[event.key] * step;
      else if (event.key === "Home") value = Number(bar.min);
      else if (event.key === "End") value = Number(bar.max);
      else return;
      event.preventDefault();
      changed(slider.key, held(value) * factor);
    });
    return { root, show, extra, bar };
  }

  /** `held` is told whether a slider is being moved by the pointer. */
  function create(root, changed, held = (/** @type {boolean} */ _on) => {}) {
    const made = SLIDERS.map((slider) => one(slider, changed, held));
    root.prepend(...made.map((slider) => slider.root));
    return {
      show: (stage, values, permissible) => made.forEach((slider) => slider.show(stage, values, permissible)),
      extra: (key) => made[SLIDERS.findIndex((s) => s.key === key)].extra,
    };
  }

  /** A group of choices of which one is taken; native radio buttons. */
  function choice(name, label, options, chosen) {
    const group = element("fieldset", { class: "choice", "data-choice": name }, element("legend", { class: "hidden" }, label));
    const inputs = options.map(([value, text]) => {
      const input = element("input", { type: "radio", name, value, onchange: () => chosen(value) });
      group.append(element("label", {}, input, element("span", {}, text)));
      return input;
    });
    return { root: group, show: (value) => inputs.forEach((input) => { input.checked = input.value === value; }) };
  }

  return { create, choice, element, write, renew, SLIDERS };
})();
