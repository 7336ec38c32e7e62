// @ts-check
"use strict";
/* Tools of the scene: views, section, pulling apart, bodies, measuring; by pointer and by keys. */
const Tools = (() => {
  const { element } = Controls;

  /** `act`: setStage(key), play(), named(view), enlarge(step, released). */
  function create(root, s, frame, act) {
    const part = (name) => root.querySelector(`[data-part="${name}"]`);
    let bodies = null, named = null;
    const when = Controls.choice("shape-when", "Clamped or released", [["clamped", "clamped"], ["released", "released"]], (name) => act.enlarge(s.shape.by, name === "released"));
    const from = (name) => ({ yaw: Camera.NAMED[name][0], pitch: Camera.NAMED[name][1] });

    function show() {
      const { section } = s;
      part("section").value = section.plane;
      part("section-more").hidden = !section.plane || section.plane === "quarter";
      if (section.plane && s.scene) {
        const [low, high] = s.scene.data.reach;
        const axis = Scene.NORMALS[section.plane].indexOf(1);
        Object.assign(part("section-at"), { min: low[axis], max: high[axis], step: "any", value: section.at });
        part("section-at").setAttribute("aria-valuetext", Units.shown(section.at, "length"));
        part("section-value").textContent = `${"xyz"[axis]} ${Units.shown(section.at, "length")}`;
      }
      part("section-flip").checked = section.flipped;
      part("apart").value = s.apart;
      shape();
      part("measure").setAttribute("aria-pressed", String(s.measuring));
      if (bodies && s.stage) bodies.show(s.looks[s.stage.key], Setting.present(s));
      if (named) named.hidden = named.options.length < 2;
    }

    /** How many times the movement under the grip is drawn, clamped or released. */
    function shape() {
      if (!s.stage || !s.scene) return;
      part("giving").hidden = !Shape.offered(s);
      const text = Shape.words(s), enlarged = Boolean(Shape.of(s));
      part("shape-by").value = String(s.shape.by);
      part("shape-by").setAttribute("aria-valuetext", text);
      if (part("shape-words").textContent !== text) part("shape-words").textContent = text;
      when.show(s.shape.released ? "released" : "clamped");
      part("measure").disabled = enlarged;
      if (enlarged && s.measuring) { s.measuring = false; s.first = null; part("measure").setAttribute("aria-pressed", "false"); }
    }

    function look(group, value) {
      s.looks[s.stage.key] = { ...s.looks[s.stage.key], [group]: value };
      show();
      frame.draw();
    }

    function cut(change) {
      s.section = { ...s.section, ...change };
      show();
      frame.draw();
    }

    const ACROSS = { across: 0.5, part: 0.06 }; // of what is held: of the part alone so low that the pressed faces are seen over it

    /** Where a new section plane lies so that it cuts jaws and part: through the spindle axis, or across what is held. */
    function middle(plane) {
      const [low, high] = s.stage.held_mm || s.scene.data.reach.map((corner) => corner[2]);
      return plane in ACROSS ? low + ACROSS[plane] * (high - low) : 0;
    }

    function measureAt(x, y) {
      const found = frame.pick(x, y);
      if (!found) return;
      const anchor = Picking.anchor(found, found.point);
      if (s.first) { s.measures.push([s.first, anchor]); s.first = null; } else s.first = anchor;
      frame.draw();
    }

    function escape() {
      Object.assign(s, { first: null, measuring: false, about: null, marked: [] });
      show();
      frame.draw();
    }

    function load() {
      bodies = Panels.bodies(part("bodies"), s.scene.groups, look);
      const views = s.scene.data.views || [];
      named.replaceChildren(element("option", { value: "" }, "named view"), ...views.map((v, k) => element("option", { value: k }, v.name)));
      show();
    }

    Pointer.attach(part("view"), {
      // A list that hangs over the picture is in the way of what is done there.
      touched: () => root.querySelectorAll(".tools details[open]").forEach((one) => { one.open = false; }),
      kept: () => { const view = s.view; return () => frame.moved(view); },
      orbit: (dx, dy) => frame.moved(Camera.orbited(s.view, dx, dy)),
      pan: (dx, dy) => frame.moved(Camera.panned(s.view, dx, dy)),
      zoom: (factor, at) => frame.moved(Camera.zoomed(s.view, factor, at)),
      click: (x, y) => { if (s.measuring) measureAt(x, y); },
      double: (x, y) => { const found = frame.pick(x, y); if (found) frame.turn({ ...s.view, focus: found.point }); },
      fit: () => frame.fit(),
      view: (name) => frame.fit(from(name)),
      enter: () => { if (s.measuring) measureAt(...frame.middle); },
      play: () => act.play(),
      measure: () => part("measure").click(),
      escape,
      stage: (number) => { const one = s.scene.data.stages[number]; if (one) act.setStage(one.key); },
    });

    part("views").append(
      // The others stand on the cube, and under keys.
      element("button", { type: "button", title: "Three-quarter view (q)", "aria-label": "Three-quarter view", onclick: () => frame.fit(from("three-quarter")) }, "¾"),
      element("button", { type: "button", title: "Fit the picture (0)", "aria-label": "Fit the picture", onclick: () => frame.fit() }, "fit"));
    named = element("select", { class: "named", "aria-label": "Named view of the scenario",
      onchange: (event) => { if (event.target.value !== "") act.named(s.scene.data.views[Number(event.target.value)]); event.target.value = ""; } });
    part("views").append(named);
    part("section").addEventListener("change", (event) => cut({ plane: event.target.value, at: middle(event.target.value) }));
    part("section-at").addEventListener("input", (event) => cut({ at: Number(event.target.value) }));
    part("section-flip").addEventListener("change", (event) => cut({ flipped: event.target.checked }));
    part("apart").addEventListener("input", (event) => { s.apart = Number(event.target.value); frame.draw(); });
    part("apart").addEventListener("change", () => frame.fit());
    part("shape-by").addEventListener("input", (event) => act.enlarge(Number(event.target.value), s.shape.released));
    part("shape-when").append(when.root);
    part("measure").addEventListener("click", () => { s.measuring = !s.measuring; s.first = null; show(); frame.draw(); });
    part("measure-clear").addEventListener("click", () => { s.measures = []; s.first = null; frame.draw(); });

    const cube = Cube.create(part("view"), (name) => frame.fit(from(name)));
    frame.drawn((camera) => cube(camera.axes));
    SectionHandle.attach(part("view"), s, frame, (at) => cut({ at }));
    Pointed.attach(part("view"), s, frame);
    const materials = Materials.attach(part("materials"), part("view"), s, frame);
    part("materials").addEventListener("toggle", frame.draw);
    frame.drawn(materials);
    const [full, keys] = Keys.create(root);
    root.querySelector(".tools").append(element("details", { class: "tool handy" }, element("summary", {}, "picture"),
      element("div", { class: "bodies" }, ...Saving.create(root, s, frame), full)), keys);

    return { show, shape, load, look, cut, from, middle };
  }

  return { create };
})();
