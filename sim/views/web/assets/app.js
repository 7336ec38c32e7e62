"use strict";
/* The page: its parts put together, and what happens when a slider, a step of the work or a verdict is chosen. */
const App = (() => {
  const { element } = Controls;
  const ANSWERED = 40; // ms within which figures mostly come

  function start(root, data, source) {
    const part = (name) => root.querySelector(`[data-part="${name}"]`);
    const s = Setting.create();
    const loaded = {}; // the values that each stage came with
    let judged = null, soon = 0, tabs = null, plots = [];

    const asking = Asking.create(source, s, {
      figures(found) {
        s.figures = found;
        frame.pressures(found.bands);
        part("trouble").hidden = true;
        showState();
        frame.draw();
      },
      verdicts(found) { judged = found; showVerdicts(found === null); },
      trouble,
      idle: () => frame.tell(),
    });
    const frame = Frame.create(root, s, (fully) => asking.done(fully));
    const player = Player.create(s, (position) => change("position_mm", position), (playing) => { play.textContent = playing ? "stop" : "play"; frame.draw(); },
      () => asking.done(false) && frame.idle);
    const tools = Tools.create(root, s, frame, { setStage, play: () => player.toggle(), named });
    const controls = Controls.create(part("sliders"), change);
    const verdicts = Panels.verdicts(part("verdicts"), choose);
    const play = element("button", { type: "button", class: "play", onclick: () => player.toggle() }, "play");
    controls.extra("position_mm").append(play);
    const size = Controls.choice("size", "Size of the part within its tolerance", ["smallest", "middle", "largest"].map((name) => [name, name]),
      (name) => change("gripped_diameter_mm", s.stage.sizes[name]));
    part("size-choice").append(size.root);
    part("force-box").addEventListener("change", (event) => change("side_force_N", event.target.checked ? s.stage.side_force_N : 0));

    function trouble(message) {
      part("trouble").hidden = false;
      part("trouble").textContent = message;
      frame.draw();
    }

    function change(key, value) {
      Setting.now(s)[key] = value;
      s.about = null;
      controls.show(s.stage, Setting.now(s));
      asking.figures();
      if (s.stage.sizes && source.live && (key === "pressure_bar" || key === "speed_rpm")) asking.verdicts();
      // The figures come in some milliseconds: one picture then shows both. If they do not, the bodies move alone.
      clearTimeout(soon);
      soon = setTimeout(frame.draw, s.playing ? 4 * ANSWERED : ANSWERED);
    }

    // What is shown beside the picture

    function showVerdicts(judging = false) {
      const own = judged && judged.stage === s.stage.key ? judged : null;
      verdicts.show(own && own.verdicts);
      const count = (status) => verdicts.shown.filter((verdict) => verdict.status === status).length;
      const state = own && `${s.stage.name} judged at ${Units.shown(own.pressure_bar, "pressure")} and up to ${Units.shown(own.speed_rpm, "speed")}`;
      part("judged").textContent = judging ? "being judged at this pressure and speed …"
        : own ? `${state}: ${count("fail")} fail, ${count("warn")} warn, ${count("pass")} pass` : "as the scenario states";
      part("judged").classList.toggle("worse", !judging && own !== null && count("fail") > 0);
    }

    function showState() {
      const { stage } = s, own = Setting.own(s), now = Setting.now(s);
      Panels.showFigures(part("figures"), stage, own);
      Panels.faces(part("faces"), s.scene.map, stage, own);
      Panels.scaleBar(part, stage, Setting.gripped(s) ? own : null);
      for (const plot of plots) {
        if (plot.axes[0].across.startsWith("spindle speed") && plot.stage === stage.key) plot.show(now.speed_rpm);
      }
      if (stage.sizes) {
        size.show(Scene.sizeName(stage, now.gripped_diameter_mm));
        part("force-box").checked = now.side_force_N > 0;
        part("force-box").disabled = !(stage.side_force_N > 0);
      }
      play.hidden = !stage.track;
      part("extras").hidden = !stage.sizes || !source.live;
    }

    function refresh() {
      controls.show(s.stage, Setting.now(s));
      tools.show();
      showState();
      showVerdicts();
      frame.draw();
    }

    // Choices

    function setStage(key, fit = true) {
      if (!s.scene.stages[key]) return;
      const other = !s.stage || s.stage.key !== key;
      Object.assign(s, { stage: s.scene.stages[key], figures: null, about: null, first: null, measures: [] });
      player.stop();
      asking.forget();
      judged = null;
      tabs.show(key);
      refresh();
      asking.figures();
      if (fit && other) frame.fit();
    }

    /** Of wanted values those that the stage can show: where only some states are at hand, the nearest of them. */
    function allowed(target, wanted) {
      if (source.live) return wanted;
      return Object.fromEntries(Object.entries(wanted).filter(([key]) => (target.stops || {})[key]).map(([key, value]) =>
        [key, target.stops[key].reduce((best, stop) => (Math.abs(stop - value) < Math.abs(best - value) ? stop : best))]));
    }

    /** Turn the scene to what a verdict is about. */
    function choose(index) {
      const wanted = s.scene.data.verdicts[index].look;
      const target = s.scene.stages[wanted.stage];
      s.values[wanted.stage] = { ...target.values, ...allowed(target, wanted.values) };
      s.looks[wanted.stage] = { ...s.looks[wanted.stage], workpiece: wanted.glass.includes("workpiece") ? "glass" : "solid" };
      Object.assign(s, { section: { plane: wanted.section, at: 0, flipped: false }, apart: 0, marked: wanted.bodies });
      setStage(wanted.stage, false);
      const verdict = verdicts.shown[index];
      if (wanted.into) {
        // From the axis before the jaws, near enough that the gripped faces are wide in the picture.
        const { span, distance, focus } = wanted.into;
        frame.turn({ focus: [0, 0, focus], yaw: 0, pitch: 0, distance, angle: 2 * Math.atan(span / 2 / distance) });
      } else if (wanted.target) {
        const lines = [`${verdict.symbol} ${verdict.name}: ${verdict.word}`, `${Units.text(verdict.value)}, ${Units.text(verdict.limit)}`];
        s.about = { point: wanted.target, pair: wanted.pair, lines };
        frame.turn({ focus: wanted.target, ...tools.from(wanted.view), angle: Camera.ANGLE, distance: Camera.distanceFor(wanted.span, frame.aspect()) });
      } else {
        frame.fit(tools.from(wanted.view));
      }
    }

    /** Look as a named view of the scenario says. */
    function named(wanted) {
      const hidden = Object.fromEntries(wanted.hide.map((group) => [group, "hidden"]));
      const glass = Object.fromEntries(wanted.glass.map((group) => [group, "glass"]));
      s.looks[wanted.stage] = { ...hidden, ...glass };
      Object.assign(s, { section: { plane: wanted.section, at: wanted.section_at, flipped: false }, apart: wanted.apart, marked: [] });
      setStage(wanted.stage, false);
      const list = Setting.drawn(s).filter((item) => wanted.apart > 0 || item.body.group !== "tool");
      const whole = Camera.fitted({ ...s.view, yaw: wanted.yaw, pitch: wanted.pitch }, Scene.extent(s.scene, list).corners, frame.aspect(), 0.94);
      frame.turn({ ...whole, distance: whole.distance / wanted.zoom });
    }

    // Loading, units, light

    function load(fresh) {
      const before = s.stage && s.stage.key;
      s.scene = Scene.read(fresh);
      frame.load();
      for (const one of fresh.stages) {
        s.values[one.key] = { ...one.values, ...kept(one, s.values[one.key]) };
        s.looks[one.key] = s.looks[one.key] || (one.sizes ? { workpiece: "glass" } : {});
      }
      tabs = Controls.choice("stage", "Step of the work", fresh.stages.map((one) => [one.key, one.name]), (key) => setStage(key));
      part("stages").replaceChildren(tabs.root);
      verdicts.load(fresh.verdicts);
      header(fresh);
      part("mistake").hidden = true;
      const first = fresh.stages[1] || fresh.stages[0];
      s.stage = before && s.scene.stages[before] ? s.scene.stages[before] : null;
      const key = s.stage ? before : first.key;
      setStage(key, !s.stage);
      tools.load();
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

    function header({ title, status, counts, words, origin }) {
      part("title").textContent = title;
      document.title = title;
      const says = { fail: "Not fit to run", warn: "To be looked at", pass: "All verdicts pass" }[status];
      part("state").className = `state ${status}`;
      part("state").textContent = `${words.symbol[status]} ${says}: ${counts.fail} fail, ${counts.warn} warn, ${counts.pass} pass`;
      part("origin").hidden = !origin.length;
      part("origin").textContent = origin.join(" ");
    }

    const units = Controls.choice("units", "Units", [["mm", "mm"], ["inch", "inch"]], (name) => { Units.choose(name); refresh(); });
    units.show("mm");
    part("units").append(units.root);
    const dark = window.matchMedia("(prefers-color-scheme: dark)"), page = document.documentElement;
    const light = Controls.choice("light", "Light or dark", [["light", "light"], ["dark", "dark"]], (name) => { page.dataset.theme = name; frame.draw(); });
    const follow = () => { if (!page.dataset.theme) light.show(dark.matches ? "dark" : "light"); frame.draw(); };
    part("theme").append(light.root);
    dark.addEventListener("change", follow);
    follow();
    Divider.attach(part("divider"), root, frame.draw);
    load(data);
    plots = Readout.attachAll(document);
    frame.draw();

    return {
      load, choose, setStage, change, settled: frame.settled, pick: frame.pick,
      fitView: (name) => frame.fit(tools.from(name)),
      mistake: (message) => { part("mistake").hidden = !message; part("mistake-text").textContent = message || ""; },
      gone: trouble, back: () => { part("trouble").hidden = true; },
      probe: Probe.create(s, frame, tools),
      get state() {
        return { stage: s.stage.key, values: { ...Setting.now(s) }, view: s.view, section: s.section, apart: s.apart, figures: s.figures,
          ...asking.counts, measures: s.measures.length, webgl: Boolean(frame.painter), cost: frame.painter && frame.painter.cost };
      },
    };
  }

  return { start };
})();
