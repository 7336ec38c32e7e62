"use strict";
/* The page: what is chosen, what is asked, what is drawn. */
const App = (() => {
  const { element } = Controls;
  const ANSWERED = 40; // ms within which figures mostly come
  const STILL = 250; // ms without a change before verdicts are asked for
  const QUIET = 140; // ms without a change before the picture is refined
  const TURN = 260; // ms of a turn to another view
  const VIEWS = [["three-quarter", "¾", "Three-quarter view"], ["tailstock", "+z", "From the tailstock (+z)"],
    ["headstock", "−z", "From the headstock (−z)"], ["above", "+x", "From above (+x, over jaw 1)"], ["below", "−x", "From below (−x)"],
    ["side", "−y", "From the side (−y)"], ["far side", "+y", "From the far side (+y)"]];

  function start(root, data, source) {
    const part = (name) => root.querySelector(`[data-part="${name}"]`);
    const canvas = part("canvas"), overlay = Overlay.create(part("overlay"));
    const still = window.matchMedia("(prefers-reduced-motion: reduce)");
    let painter = null;
    try { painter = Painter.create(canvas); } catch (error) { console.warn(String(error)); }
    root.classList.toggle("flat", !painter);
    document.documentElement.classList.add(painter ? "drawn" : "undrawn");

    let scene = null, stage = null, figures = null;
    let values = {}, looks = {}, marked = [], about = null;
    let view = Camera.first(), section = { plane: "", at: 0, flipped: false }, apart = 0;
    let measuring = false, first = null, measures = [];
    let frame = 0, refining = 0, asked = 0, answered = 0, playing = 0, moving = null;
    const waiting = [];

    // What is drawn

    const style = (name) => getComputedStyle(root).getPropertyValue(name).trim();
    const now = () => values[stage.key];
    const gripped = () => stage.touches && Scene.jawTravel(stage, now()) < now().travel_mm + 1e-9
      && now().travel_mm >= stage.touches[Scene.sizeName(stage, now().gripped_diameter_mm)] - 1e-9;

    function drawn() {
      const coloured = figures && figures.bands && gripped();
      const shown = { ...stage, face: coloured ? stage.face : null };
      return Scene.items(scene, shown, now(), { apart, looks: looks[stage.key], marked });
    }

    function picture() {
      const items = drawn();
      const extent = Scene.extent(scene, items);
      const cut = Scene.plane(section);
      return {
        items: nearFirst(items), cut, centre: extent.centre, radius: extent.radius * 1.02,
        ground: Scene.linear(style("--scene")), hatchInk: Scene.linear(style("--hatch")), edgeInk: Scene.linear(style("--edge")),
        markInk: Scene.linear(style("--need")), edges: 0.5, lit: Number(style("--lit")) || 1,
        hatchStep: 11 * 2 * Math.tan(view.angle / 2) * view.distance / canvas.clientHeight,
        pressureScale: stage.scale_MPa || 1,
      };
    }

    /** What is near is drawn first, so that what it hides costs nothing. */
    function nearFirst(items) {
      const eye = Camera.eye(view);
      const away = (item) => Linear.length(Linear.sub(Linear.moved(item.matrix, Linear.mix(...scene.shapes[item.geometry].box, 0.5)), eye));
      return items.map((item) => [item.pressure !== undefined ? 0 : away(item), item]).sort((a, b) => a[0] - b[0]).map((pair) => pair[1]);
    }

    function fitCanvas() {
      const ratio = Math.min(window.devicePixelRatio || 1, 2);
      const width = Math.max(1, Math.round(canvas.clientWidth * ratio)), height = Math.max(1, Math.round(canvas.clientHeight * ratio));
      if (canvas.width !== width || canvas.height !== height) { canvas.width = width; canvas.height = height; }
    }

    function draw() {
      if (!frame && scene) frame = requestAnimationFrame(render);
    }

    function render() {
      frame = 0;
      clearTimeout(refining);
      refining = 0;
      if (painter && painter.busy()) { draw(); return; }
      if (moving) {
        const share = Math.min(1, (performance.now() - moving.start) / TURN);
        view = Camera.between(moving.from, moving.to, share);
        if (share >= 1) { view = moving.to; moving = null; }
        draw();
      }
      if (!canvas.clientWidth || !canvas.clientHeight) return;
      const one = picture();
      if (painter) {
        fitCanvas();
        painter.quick(one, view);
      }
      annotate(one);
      if (painter && !moving && !playing) refining = setTimeout(() => refine(one), QUIET);
      if (!moving) tell();
    }

    /** Add pictures to the settled one, each when the one before is done. */
    function refine(one) {
      refining = 0;
      if (frame) return;
      if (painter.busy()) { refining = setTimeout(() => refine(one), 4); return; }
      if (!painter.refine(one, view)) { tell(); return; }
      refining = setTimeout(() => refine(one), 0);
    }

    /** Wake those who wait for a settled picture. */
    function tell() {
      const settled = !refining && !frame && !moving && !judging;
      for (const one of waiting.splice(0)) {
        if (answered === asked && (settled || !one.fully)) one.done(); else waiting.push(one);
      }
    }
    const settled = (fully = true) => new Promise((done) => { waiting.push({ done, fully }); draw(); });

    // Words and lines over the picture

    function annotate(one) {
      const width = canvas.clientWidth, height = canvas.clientHeight;
      const camera = Camera.matrices(view, width / height, one.centre, one.radius);
      overlay.begin(camera.matrix, width, height);
      const own = figures && figures.stage === stage.key ? figures : null;
      const lines = Marks.draw(overlay, {
        scene, stage, values: now(), figures: own, apart, gripped: gripped(), items: one.items, cut: one.cut, about, measures, first,
        width, height, axes: camera.axes,
      });
      const list = part("measures");
      if (list.dataset.text !== lines.join("|")) {
        list.dataset.text = lines.join("|");
        list.replaceChildren(...lines.map((line) => element("li", {}, line)));
      }
      part("measure-box").hidden = !measures.length && !measuring;
      part("measure-hint").textContent = !measuring ? "" : first ? "Now the second point." : "Choose the first point: click on a body, or turn it under the cross and press Enter.";
      part("cross").hidden = !measuring;
    }

    // What is asked

    function ask() {
      asked += 1;
      const serial = asked;
      source.figures({ stage: stage.key, ...now() }).then((found) => {
        answered = Math.max(answered, serial);
        if (found && found.stage === stage.key) take(found);
        else tell();
      }, (error) => {
        answered = Math.max(answered, serial);
        trouble(error.message);
      });
    }

    /** Verdicts take longer than figures: they are asked for when pressure and speed have stood still for a while. */
    function askVerdicts() {
      clearTimeout(judging);
      const key = stage.key;
      judging = setTimeout(() => {
        const wanted = { ...now() };
        source.verdicts({ stage: key, ...wanted }).then((found) => {
          judging = 0;
          if (stage.key !== key || !found) { tell(); return; }
          judged = found;
          showVerdicts();
          if (wanted.pressure_bar !== now().pressure_bar || wanted.speed_rpm !== now().speed_rpm) askVerdicts(); else tell();
        }, (error) => { judging = 0; trouble(error.message); });
      }, STILL);
      showVerdicts();
    }
    let judged = null, judging = 0;

    function showVerdicts() {
      const own = judged && judged.stage === stage.key ? judged : null;
      verdicts.show(own && own.verdicts);
      part("judged").textContent = judging ? "being judged at this pressure and speed …"
        : own ? `${stage.name} judged at ${Units.shown(own.pressure_bar, "pressure")} and up to ${Units.shown(own.speed_rpm, "speed")}`
          : "as the scenario states";
    }

    function take(found) {
      figures = found;
      if (painter && found.bands) painter.loadPressures(Scene.floats(found.bands.MPa), found.bands.columns, found.bands.rows);
      part("trouble").hidden = true;
      showState();
      draw();
    }

    function trouble(message) {
      const box = part("trouble");
      box.hidden = false;
      box.textContent = message;
      draw();
    }

    function change(key, value) {
      now()[key] = value;
      about = null;
      controls.show(stage, now());
      ask();
      if (stage.sizes && source.live && (key === "pressure_bar" || key === "speed_rpm")) askVerdicts();
      // The figures come in some milliseconds: one picture then shows both. If they do not, the bodies move alone.
      clearTimeout(soon);
      soon = setTimeout(draw, ANSWERED);
    }
    let soon = 0;

    // What is shown beside the picture

    function showState() {
      const own = figures && figures.stage === stage.key ? figures : null;
      Panels.showFigures(part("figures"), stage, own);
      Panels.faces(part("faces"), scene.map, stage, own);
      showVerdicts();
      scaleBar(own);
      for (const plot of plots) {
        const key = { "spindle speed, rev/min": "speed_rpm" }[plot.axes[0].across];
        if (key && plot.stage === stage.key) plot.show(now()[key]);
      }
      part("size").hidden = part("force").hidden = !stage.sizes;
      if (stage.sizes) {
        size.show(Scene.sizeName(stage, now().gripped_diameter_mm));
        part("force-box").checked = now().side_force_N > 0;
        part("force-box").disabled = !source.live || !(stage.side_force_N > 0);
      }
      play.hidden = !stage.track;
      part("extras").hidden = !stage.sizes || !source.live;
    }

    function scaleBar(own) {
      const bar = part("scale");
      bar.hidden = !(own && own.bands && gripped());
      if (bar.hidden) return;
      const top = stage.scale_MPa;
      const ticks = [0, 0.25, 0.5, 0.75, 1].map((share) => {
        const near = Math.abs(share - own.peak_MPa / top) < 0.07;
        const tick = element("span", { class: "tick" }, near ? "" : Units.number(share * top, "stress", top < 20 ? 1 : 0));
        tick.style.bottom = `${100 * share}%`;
        return tick;
      });
      const peak = element("span", { class: "peak" }, `largest ${Units.number(own.peak_MPa, "stress", 1)}`);
      peak.style.bottom = `${100 * Math.min(1, own.peak_MPa / top)}%`;
      part("scale-ticks").replaceChildren(...ticks, peak);
      part("scale-unit").textContent = `contact pressure, ${Units.unit("stress")}`;
      part("scale-note").textContent = `means over 3° by 2 mm; yield ${Units.shown(stage.yield_MPa, "stress")}`;
    }

    // Choices

    const controls = Controls.create(part("sliders"), change);
    const verdicts = Panels.verdicts(part("verdicts"), choose);
    let bodies = null;
    const plots = [];
    const size = Controls.choice("size", "Size of the part within its tolerance", [["smallest", "smallest"], ["middle", "middle"], ["largest", "largest"]],
      (name) => change("gripped_diameter_mm", stage.sizes[name]));
    part("size-choice").append(size.root);
    const tabs = Controls.choice("stage", "Step of the work", [], () => {});

    function buildTabs() {
      const box = part("stages");
      const made = Controls.choice("stage", "Step of the work", scene.data.stages.map((s) => [s.key, s.name]), (key) => setStage(key));
      box.replaceChildren(made.root);
      tabs.show = made.show;
    }

    function setStage(key, fit = true) {
      if (!scene.stages[key]) return;
      const before = stage && stage.key;
      stage = scene.stages[key];
      figures = null;
      judged = null;
      clearTimeout(judging);
      judging = 0;
      about = null;
      first = null;
      measures = [];
      playing = 0;
      tabs.show(key);
      controls.show(stage, now());
      bodies.show(looks[key], scene.groups.filter((group) => scene.data.bodies.some((b) => b.group === group && (!b.stages.length || b.stages.includes(key)))));
      showState();
      ask();
      if (fit && before !== key) fitView();
      draw();
    }

    function turn(to) {
      if (still.matches || !painter || slow()) { view = to; moving = null; } else moving = { from: view, to, start: performance.now() };
      draw();
    }
    const slow = () => document.hidden;

    function aspect() { return canvas.clientWidth / Math.max(1, canvas.clientHeight); }

    function fitView(name) {
      const direction = name ? { yaw: Camera.NAMED[name][0], pitch: Camera.NAMED[name][1] } : {};
      const list = drawn().filter((item) => item.body.group !== "tool");
      turn(Camera.fitted({ ...view, ...direction }, Scene.extent(scene, list).corners, aspect(), 0.86));
    }

    /** Of wanted values those that the stage can show: where only some states are at hand, the nearest of them. */
    function allowed(target, wanted) {
      if (source.live) return wanted;
      return Object.fromEntries(Object.entries(wanted).filter(([key]) => (target.stops || {})[key]).map(([key, value]) =>
        [key, target.stops[key].reduce((best, s) => (Math.abs(s - value) < Math.abs(best - value) ? s : best))]));
    }

    /** Turn the scene to what a verdict is about. */
    function choose(index) {
      const stated = scene.data.verdicts[index];
      const wanted = stated.look;
      const target = scene.stages[wanted.stage];
      values[wanted.stage] = { ...target.values, ...allowed(target, wanted.values) };
      looks[wanted.stage] = { ...looks[wanted.stage], workpiece: wanted.glass.includes("workpiece") ? "glass" : "solid" };
      section = { plane: wanted.section, at: 0, flipped: false };
      apart = 0;
      marked = wanted.bodies;
      setStage(wanted.stage, false);
      showTools();
      const verdict = verdicts.shown[index];
      const [yaw, pitch] = Camera.NAMED[wanted.view];
      if (wanted.into) {
        // From the axis before the jaws, near enough that the gripped faces are wide in the picture.
        const { span, distance, focus } = wanted.into;
        turn({ focus: [0, 0, focus], yaw: 0, pitch: 0, distance, angle: 2 * Math.atan(span / 2 / distance) });
      } else if (wanted.target) {
        about = { point: wanted.target, pair: wanted.pair, lines: [`${verdict.symbol} ${verdict.name}: ${verdict.word}`, `${Units.text(verdict.value)}, ${Units.text(verdict.limit)}`] };
        turn({ focus: wanted.target, yaw, pitch, angle: Camera.ANGLE, distance: Camera.distanceFor(wanted.span, aspect()) });
      } else {
        fitView(wanted.view);
      }
    }

    function showTools() {
      part("section").value = section.plane;
      part("section-more").hidden = !section.plane;
      if (section.plane && scene) {
        const [low, high] = scene.data.reach;
        const axis = { along: 1, level: 0, across: 2 }[section.plane];
        Object.assign(part("section-at"), { min: low[axis], max: high[axis], step: "any", value: section.at });
        part("section-at").setAttribute("aria-valuetext", Units.shown(section.at, "length"));
        part("section-value").textContent = `${"yxz"[[1, 0, 2].indexOf(axis)]} ${Units.shown(section.at, "length")}`;
      }
      part("section-flip").checked = section.flipped;
      part("apart").value = apart;
      part("measure").setAttribute("aria-pressed", String(measuring));
    }

    // The pointer and the keys

    function cutPlane() { return Scene.plane(section); }

    function pick(x, y) {
      const width = canvas.clientWidth, height = canvas.clientHeight;
      const ray = Camera.ray(view, x, y, width, height);
      const found = Picking.hit(scene, drawn(), ray, cutPlane());
      if (!found) return null;
      const extent = Scene.extent(scene, drawn());
      const { matrix } = Camera.matrices(view, width / height, extent.centre, extent.radius);
      return { ...found, point: Picking.snapped(found, matrix, x, y, width, height) };
    }

    function measureAt(x, y) {
      const found = pick(x, y);
      if (!found) return;
      const anchor = Picking.anchor(found, found.point);
      if (first) { measures.push([first, anchor]); first = null; } else first = anchor;
      draw();
    }

    Pointer.attach(part("view"), {
      orbit: (dx, dy) => { moving = null; view = Camera.orbited(view, dx, dy); draw(); },
      pan: (dx, dy) => { moving = null; view = Camera.panned(view, dx, dy); draw(); },
      zoom: (factor) => { moving = null; view = Camera.zoomed(view, factor); draw(); },
      click: (x, y) => { if (measuring) measureAt(x, y); },
      double: (x, y) => { const found = pick(x, y); if (found) turn({ ...view, focus: found.point }); },
      fit: () => fitView(),
      view: (name) => fitView(name),
      enter: () => { if (measuring) measureAt(canvas.clientWidth / 2, canvas.clientHeight / 2); },
      play: () => togglePlay(),
      measure: () => { part("measure").click(); },
      escape: () => { first = null; measuring = false; about = null; marked = []; showTools(); draw(); },
      stage: (number) => { const one = scene.data.stages[number]; if (one) setStage(one.key); },
    });

    part("views").append(...VIEWS.map(([name, text, title]) => element("button", { type: "button", title, "aria-label": title, onclick: () => fitView(name) }, text)),
      element("button", { type: "button", title: "Fit the picture (0)", "aria-label": "Fit the picture", onclick: () => fitView() }, "fit"));
    part("section").addEventListener("change", (event) => {
      section = { ...section, plane: event.target.value, at: event.target.value === "across" ? Math.round(0.5 * (scene.data.reach[0][2] + scene.data.reach[1][2])) : 0 };
      showTools();
      draw();
    });
    part("section-at").addEventListener("input", (event) => { section = { ...section, at: Number(event.target.value) }; showTools(); draw(); });
    part("section-flip").addEventListener("change", (event) => { section = { ...section, flipped: event.target.checked }; draw(); });
    part("apart").addEventListener("input", (event) => { apart = Number(event.target.value); draw(); });
    part("apart").addEventListener("change", () => fitView());
    part("measure").addEventListener("click", () => { measuring = !measuring; first = null; showTools(); draw(); });
    part("measure-clear").addEventListener("click", () => { measures = []; first = null; draw(); });
    part("force-box").addEventListener("change", (event) => change("side_force_N", event.target.checked ? stage.side_force_N : 0));
    const play = element("button", { type: "button", class: "play", onclick: () => togglePlay() }, "play");
    controls.extra("position_mm").append(play);

    function togglePlay() {
      if (!stage.track) return;
      playing = playing ? 0 : performance.now();
      play.textContent = playing ? "stop" : "play";
      if (playing && now().position_mm >= stage.track.length_mm - 1e-6) now().position_mm = 0;
      gone = now().position_mm;
      if (playing) requestAnimationFrame(step);
    }
    let gone = 0;

    /** Run the tool on: the whole path in some twenty seconds, rapid moves three times as fast. */
    function step(time) {
      if (!playing) { play.textContent = "play"; draw(); return; }
      const path = stage.track, elapsed = Math.min(0.1, Math.max(0, (time - playing) / 1000));
      playing = time;
      const move = Scene.moveAt(stage, gone + 1e-3);
      const speed = path.length_mm / 30 * (path.rapid[move] ? 3 : 1);
      gone = Math.min(path.length_mm, gone + speed * elapsed);
      const stops = (stage.stops || {}).position_mm;
      const next = stops ? stops.reduce((best, s) => (s <= gone + 1e-6 ? s : best), stops[0]) : gone;
      if (gone >= path.length_mm) playing = 0;
      if (next !== now().position_mm) change("position_mm", next);
      requestAnimationFrame(step);
    }

    // Loading, units, light

    function load(fresh) {
      const before = stage && stage.key;
      scene = Scene.read(fresh);
      if (painter) { painter.load(scene.shapes); painter.loadMap(scene.map); }
      for (const one of fresh.stages) {
        values[one.key] = { ...one.values, ...kept(one, values[one.key]) };
        looks[one.key] = looks[one.key] || (one.sizes ? { workpiece: "glass" } : {});
      }
      bodies = Panels.bodies(part("bodies"), scene.groups, (group, look) => { looks[stage.key] = { ...looks[stage.key], [group]: look }; draw(); });
      buildTabs();
      verdicts.load(fresh.verdicts);
      header();
      part("mistake").hidden = true;
      const wanted = before && scene.stages[before] ? before : fresh.stages[1] ? fresh.stages[1].key : fresh.stages[0].key;
      setStage(wanted, !before);
      showTools();
    }

    /** Slider values that the user had moved and that the new scene still allows. */
    function kept(one, old) {
      const was = old && loaded[one.key];
      loaded[one.key] = { ...one.values };
      if (!was) return {};
      return Object.fromEntries(Object.entries(old).filter(([key, value]) => {
        const range = one.ranges[key];
        return range && value !== was[key] && value >= range[0] && value <= range[1];
      }));
    }
    const loaded = {};

    function header() {
      part("title").textContent = scene.data.title;
      document.title = scene.data.title;
      const { status, counts, words } = scene.data;
      const state = part("state");
      state.className = `state ${status}`;
      const says = { fail: "Not fit to run", warn: "To be looked at", pass: "All verdicts pass" }[status];
      state.textContent = `${words.symbol[status]} ${says}: ${counts.fail} fail, ${counts.warn} warn, ${counts.pass} pass`;
    }

    function refresh() {
      for (const entry of [controls]) entry.show(stage, now());
      showTools();
      showState();
      draw();
    }

    const units = Controls.choice("units", "Units", [["mm", "mm"], ["inch", "inch"]], (name) => { Units.choose(name); refresh(); });
    units.show("mm");
    part("units").append(units.root);
    const dark = window.matchMedia("(prefers-color-scheme: dark)");
    const light = Controls.choice("light", "Light or dark", [["light", "light"], ["dark", "dark"]], (name) => { document.documentElement.dataset.theme = name; draw(); });
    light.show(document.documentElement.dataset.theme || (dark.matches ? "dark" : "light"));
    part("theme").append(light.root);
    dark.addEventListener("change", () => { if (!document.documentElement.dataset.theme) { light.show(dark.matches ? "dark" : "light"); draw(); } });
    new ResizeObserver(() => draw()).observe(part("view"));
    canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => { painter = Painter.create(canvas); painter.load(scene.shapes); painter.loadMap(scene.map); ask(); draw(); });
    Divider.attach(part("divider"), root, draw);
    load(data);
    for (const plot of Readout.attachAll(document)) plots.push(plot);

    return {
      load, settled, choose, setStage, change, pick, fitView,
      mistake: (message) => { const box = part("mistake"); box.hidden = !message; part("mistake-text").textContent = message || ""; },
      gone: (message) => trouble(message), back: () => { part("trouble").hidden = true; },
      get state() { return { stage: stage.key, values: { ...now() }, view, section, apart, figures, asked, answered, measures: measures.length, webgl: Boolean(painter), cost: painter && painter.cost }; },
    };
  }

  return { start };
})();
