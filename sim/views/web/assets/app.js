// @ts-check
"use strict";
/* The page: its parts put together, and what happens when a slider, a step of the work or a verdict is chosen. */
const App = (() => {
  const { element } = Controls;
  const HIGHER = 0.08; // of the height of a picture of pressed faces: how far its middle lies above the axis
  const MORE = 1.7; // times as much that such a picture shows for the jaws to be whole, at most
  const WIDE = 1.6; // width over height of a picture that holds the pressed faces beside its bar
  const ANSWERED = 120; // ms within which figures come, or the bodies move alone
  const CAUGHT = 250; // ms without a change after which nothing is said to catch up any more

  function start(root, data, source) {
    const part = (name) => root.querySelector(`[data-part="${name}"]`);
    const s = Setting.create();
    const loaded = {}; // the values that each stage came with
    let soon = 0, caught = 0, tabs = null, plots = [], newer = () => {};
    Object.assign(s, { live: source.live, file: source.live ? { lost: false, version: data.version, mistake: "", judging: false, revision: 0, wanted: null, typing: false } : null });

    const asking = Asking.create(source, s, {
      figures(found) {
        clearTimeout(soon); // one picture shows both
        frame.pressures(found.bands);
        showAll();
        frame.refit();
        frame.draw();
      },
      changed() { showAll(); frame.draw(); },
      newer: () => newer(),
      idle: () => frame.tell(),
    });
    const frame = Frame.create(root, s, (fully) => asking.done(fully) && !(fully && caught));
    const LONG = 90; // letters of a headline that stand in two large lines on most screens
    const MID = 50; // letters that stand beside the badge in one line of a low window
    const player = Player.create(s, (position) => change("position_mm", position), (playing) => { play.textContent = playing ? "stop" : "play"; frame.draw(); },
      () => asking.done(false) && frame.idle);
    const tools = Tools.create(root, s, frame, { setStage, play: () => player.toggle(), named, enlarge });
    const changes = Changed.create(s, taken);
    const controls = Controls.create(part("sliders"), change, (on) => { s.sliding = on; if (!on) refresh(); });
    const verdicts = Panels.verdicts(part("verdicts"), choose, { field: part("find"), button: part("unfold"), none: part("found-none") });
    const play = element("button", { type: "button", class: "play", onclick: () => player.toggle() }, "play");
    controls.extra("position_mm").append(play);
    const size = Controls.choice("size", "Size of the part within its tolerance", ["smallest", "middle", "largest"].map((name) => [name, name]),
      (name) => change("gripped_diameter_mm", s.stage.sizes[name]));
    part("size-choice").append(size.root);
    part("force-box").addEventListener("change", (event) => change("side_force_N", event.target.checked ? s.stage.side_force_N : 0));

    const moments = Moments.create(root, s, {
      show(values) {
        Object.assign(Setting.now(s), source.live ? values : { ...Setting.now(s), ...allowed(s.stage, values) });
        s.about = null;
        asking.figures();
        showAll();
        awaited(moments.running);
      },
      ready: () => asking.done(false) && frame.idle,
      stop: () => player.stop(),
    });

    /** Take over where all sliders stood, or stand at an address. */
    function taken(values, moved) {
      for (const one of s.scene.data.stages) Object.assign(s, { values: { ...s.values, [one.key]: { ...values[one.key] } } });
      Object.assign(s, { moved, about: null });
      asking.figures();
      asking.verdicts();
      refresh();
    }

    function change(key, value) {
      moments.left();
      if (Validity.MOVED.includes(key) || Validity.POCKET.includes(key)) changes.before(key);
      const ofPocket = Validity.POCKET.includes(key);
      if (ofPocket) Setting.bore(s, s.stage.pocket, key, value); else Setting.now(s)[key] = value;
      s.about = null;
      asking.figures();
      if (ofPocket) asking.verdicts();
      if (s.stage.sizes && Validity.MOVED.includes(key)) {
        s.moved[s.stage.key] = { ...s.moved[s.stage.key], [key]: value };
        asking.verdicts();
      }
      controls.show(Setting.marked(s), Setting.now(s), permissible());
      showVerdicts();
      showTrouble();
      awaited(s.playing);
    }

    /** The figures come in some milliseconds: words and one picture then change at once, and until the slider rests both say that they
     * catch up with it. If no figures come, the bodies move alone, beside figures that say so. `slowly`: more of these milliseconds,
     * while one state follows the other. */
    function awaited(slowly) {
      clearTimeout(soon);
      soon = setTimeout(() => { showAll(); frame.draw(); }, slowly ? 2 * ANSWERED : ANSWERED);
      root.classList.add("following");
      clearTimeout(caught);
      caught = setTimeout(() => { caught = 0; root.classList.remove("following"); showAll(); frame.tell(); }, CAUGHT);
    }

    // What is shown beside the picture

    /** Everything that says something of the state: out of one set of figures and verdicts, and of what they are worth. */
    function showAll() {
      showState();
      showVerdicts();
      showNow();
      showTrouble();
    }

    function showVerdicts() {
      const { list, level, stated } = Validity.verdicts(s), badge = Summary.badge(s);
      verdicts.show(list, s.scene.data.verdicts, level);
      write("state-words", badge.text);
      write("state-more", badge.more);
      part("state").className = `state ${badge.kind}`;
      showBand(badge, list, level);
      write("judged", Summary.line(s));
      part("judged").classList.toggle("worse", badge.kind === "fail" && level === "current");
      showChanged(stated);
      part("verdicts").setAttribute("aria-busy", String(level === "pending"));
      document.title = level === "old" ? `Out of date: ${s.scene.data.title}` : Validity.typed(s) ? `Not saved: ${s.scene.data.title}` : s.scene.data.title;
    }

    /** What the state shown has beside the worst case of each verdict: only figures of that very state. */
    function showNow() {
      const { found, level } = Validity.figures(s);
      verdicts.showNow({ figures: level === "current" ? found : null, stage: s.stage });
    }

    /** The band under the title: what decides, in a sentence, and what to change. */
    function showBand(badge, list, level) {
      const { head, more, change: advice } = Summary.band(s, list, level);
      part("band").className = `band ${badge.kind}${head.length > LONG ? " long" : ""}`;
      write("headline", head);
      write("numbers", more);
      write("remedy", advice);
      part("remedy").hidden = !advice;
      part("remedy").title = advice;
      part("headline").title = head;
      part("headline").classList.toggle("long", head.length > LONG);
      part("headline").classList.toggle("mid", head.length > MID);
    }

    /** Whether all is as the scenario states it, and the way back where it is not. */
    function showChanged(stated) {
      const words = Changed.words(s), same = !words.length && Validity.asStated(s) && stated;
      const typed = Validity.typed(s);
      write("changed", same ? (typed ? "as typed" : "as stated") : `changed: ${words.join(", ") || "…"}`);
      part("changed").className = `pill ${same ? "" : "moved"}`;
      part("changed").title = same ? `Pressure, speed and pockets are those that are ${typed ? "typed, not saved" : "stated"}.` : words.join(", ");
      part("restate").hidden = same;
      part("undo").disabled = !changes.past;
      part("redo").disabled = !changes.future;
      part("undo").hidden = part("redo").hidden = !changes.past && !changes.future;
    }

    /** Write words where they are not written yet, so that a reader of the screen hears only what is new. */
    function write(name, words) {
      if (part(name).textContent !== words) part(name).textContent = words;
    }

    function showTrouble() {
      const { file } = s, figures = Validity.figures(s), verdicts_ = Validity.verdicts(s);
      const mistake = file && !file.judging ? file.mistake : "", why = Validity.doubt(s);
      part("mistake").hidden = !mistake;
      if (file) write("mistake-head", file.revision ? "Out of date: what is typed has a mistake; this is the last setup that could be judged." : "Out of date: the file has a mistake; this is the last good scene.");
      write("mistake-text", mistake);
      const said = [];
      if (why && !mistake) said.push(`Out of date: ${why}.`);
      const coming = Validity.bored(s) && s.late && !why; // said beside the figures: nothing is wrong
      if (figures.level === "none" && !coming) said.push(`No figures of this state: ${figures.why}.`);
      if (verdicts_.level === "none" && s.live) said.push(`No verdicts of this state: ${verdicts_.why}.`);
      part("trouble").hidden = !said.length;
      write("trouble", said.join(" "));
    }

    /** The permissible speed, where the figures at hand are of the pressure shown. */
    function permissible() {
      const { found, level } = Validity.figures(s);
      return found && (level !== "pending" || Math.abs(found.pressure_bar - Setting.now(s).pressure_bar) < 1e-6) ? found.permissible_rpm : undefined;
    }

    function showState() {
      const { stage } = s, now = Setting.now(s), { found: own, level, why } = Validity.figures(s);
      controls.show(Setting.marked(s), now, permissible());
      showNow();
      write("figures-worth", { current: "", preview: "≈ preview, not judged", pending: ": being computed …", old: ": out of date", none: ": not computed" }[level]);
      part("figures-worth").className = `worth ${level}`;
      const moved = Validity.gripping(s)[stage.key];
      Panels.showFigures(part("figures"), stage, own, { why: level === "none" ? why : "", stated: moved ? `, at ${Units.shown(stage.values.pressure_bar, "pressure")}` : "" });
      Faces.unrolled(part("faces"), s, level);
      Faces.bar(part, s, level);
      Faces.legend(part("legend"), s);
      for (const plot of plots) {
        if (plot.axes[0].across.startsWith("spindle speed") && plot.stage === stage.key) plot.show(now.speed_rpm);
      }
      if (stage.sizes) {
        size.show(Scene.sizeName(stage, now.gripped_diameter_mm));
        part("force-box").checked = now.side_force_N > 0;
        part("force-box").disabled = !(stage.side_force_N > 0);
      }
      play.hidden = !stage.track;
      tools.shape();
      part("extras").hidden = !stage.sizes || !source.live;
    }

    function refresh() {
      tools.show();
      showAll();
      frame.draw();
    }

    // Choices

    /** Draw the movement under the grip larger by a step of `Shape.STOPS`, of the clamped or of the released part. */
    function enlarge(by, released) {
      const asked = by > 0 && s.shape.by === 0;
      s.shape = { by, released };
      if (asked) asking.figures();
      refresh();
    }

    function setStage(key, fit = true) {
      if (!s.scene.stages[key]) return;
      const other = !s.stage || s.stage.key !== key;
      Object.assign(s, { stage: s.scene.stages[key], about: null, first: null, measures: [] });
      player.stop();
      moments.left();
      tabs.show(key);
      asking.figures();
      refresh();
      if (fit && other) frame.fit();
    }

    /** Of wanted values those that the stage can show: where only some states are at hand, the nearest of them. */
    function allowed(target, wanted) {
      if (source.live) return wanted;
      return Object.fromEntries(Object.entries(wanted).filter(([key]) => (target.stops || {})[key]).map(([key, value]) =>
        [key, target.stops[key].reduce((best, stop) => (Math.abs(stop - value) < Math.abs(best - value) ? stop : best))]));
    }

    /** Take bores and depths back to the scenario's. */
    function rebore() {
      for (const one of s.scene.data.stages) {
        if (one.pocket in Validity.bores(s)) Setting.bore(s, one.pocket, "bore_mm", one.values.bore_mm);
        if (one.pocket in Validity.depths(s)) Setting.bore(s, one.pocket, "depth_mm", one.values.depth_mm);
      }
    }

    /** Take pressures, speeds, bores and depths back to the scenario's. */
    function restate() {
      rebore();
      for (const one of s.scene.data.stages) {
        for (const key of Validity.MOVED) if (s.moved[one.key]) s.values[one.key][key] = one.values[key];
      }
      s.moved = {};
      asking.verdicts();
    }

    /** The same as a step that can be taken back. */
    function restated() {
      changes.before("all");
      restate();
      asking.figures();
      refresh();
    }

    /** How much is shown, mm, of jaws looked at from before them: so much more that none is cut off; where that would leave the
     * faces small, as much as before. */
    function whole({ distance, focus }, span) {
      const jaws = Setting.drawn(s).filter((item) => item.body.kind === "soft jaw" && item.pressure === undefined);
      const { corners } = Scene.extent(s.scene, jaws), free = 1 - frame.barred();
      const held = (/** @type {number} */ most) => corners.every(([x, y, z]) => {
        const nearer = distance / (focus + distance - z) / 0.96; // with a little room
        return z < focus + distance && 2 * Math.abs(x - HIGHER * most) * nearer < most && 2 * Math.abs(y) * nearer < most * frame.aspect() * free;
      });
      for (let more = 1; more <= MORE; more += 0.02) if (held(more * span)) return more * span;
      return span;
    }

    /** Turn the scene to what a verdict is about, at the state that it was judged at. */
    function choose(verdict) {
      if (Validity.verdicts(s).stated && !Validity.asStated(s)) restate();
      const wanted = verdict.look || s.scene.data.verdicts.find((one) => one.key === verdict.key && one.stage === verdict.stage).look;
      const target = s.scene.stages[wanted.stage];
      s.values[wanted.stage] = { ...target.values, ...s.moved[wanted.stage], ...allowed(target, wanted.values) };
      if (Validity.bored(s) && target.touches && !("travel_mm" in wanted.values)) s.values[wanted.stage].travel_mm = Scene.touch(target, s.values[wanted.stage]);
      s.looks[wanted.stage] = { ...s.looks[wanted.stage], workpiece: "solid" };
      Object.assign(s, { apart: 0, marked: wanted.bodies });
      s.shape = wanted.released_by ? { by: Shape.step(wanted.released_by), released: true } : { ...s.shape, by: 0 };
      setStage(wanted.stage, false);
      tools.cut({ plane: wanted.section, at: tools.middle(wanted.section), flipped: false });
      if (wanted.into) {
        // From near the axis before the jaws: the faces, and the jaws whole, of which one reaches farther up than two do down.
        const { distance, focus } = wanted.into, span = whole(wanted.into, wanted.into.span * Math.max(1, WIDE / frame.aspect()));
        frame.turn({ focus: [HIGHER * span, 0, focus], yaw: 0, pitch: 0, distance, angle: 2 * Math.atan(span / 2 / distance) });
      } else if (wanted.target) {
        s.about = { point: wanted.target, pair: wanted.pair, key: verdict.key, stage: verdict.stage };
        frame.near({ focus: wanted.target, ...tools.from(wanted.view), angle: Camera.ANGLE, distance: Camera.distanceFor(wanted.span, frame.aspect()) });
      } else {
        frame.fit(tools.from(wanted.view));
      }
    }

    /** Look as a named view of the scenario says. */
    function named(wanted) {
      const hidden = Object.fromEntries(wanted.hide.map((group) => [group, "hidden"]));
      const glass = Object.fromEntries(wanted.glass.map((group) => [group, "glass"]));
      s.looks[wanted.stage] = { ...hidden, ...glass };
      Object.assign(s, { section: { plane: wanted.section, at: wanted.section_at, flipped: wanted.section === "along" && wanted.yaw > 0 }, apart: wanted.apart, marked: [] });
      setStage(wanted.stage, false);
      const list = Setting.drawn(s).filter((item) => wanted.apart > 0 || item.body.group !== "tool");
      const whole = Camera.fitted({ ...s.view, yaw: wanted.yaw, pitch: wanted.pitch }, Scene.extent(s.scene, list).corners, frame.aspect(), 0.94);
      frame.turn({ ...whole, distance: whole.distance / wanted.zoom });
    }

    // Loading, units, light

    function load(fresh) {
      if (s.scene && s.scene.data.version === fresh.version) return;
      const before = s.stage && s.stage.key;
      if (s.scene) rebore();
      s.scene = Scene.read(fresh);
      frame.load();
      s.moved = Object.fromEntries(fresh.stages.map((one) => [one.key, kept(one, s.moved[one.key])]));
      for (const one of fresh.stages) {
        s.values[one.key] = { ...one.values, ...kept(one, s.values[one.key]) };
        loaded[one.key] = { ...one.values };
        s.looks[one.key] = s.looks[one.key] || {};
      }
      tabs = Controls.choice("stage", "Step of the work", fresh.stages.map((one) => [one.key, one.name]), (key) => setStage(key));
      part("stages").replaceChildren(tabs.root);
      header(fresh);
      const first = Opening.stage(fresh.stages);
      changes.forget();
      s.stage = before && s.scene.stages[before] ? s.scene.stages[before] : null;
      const key = s.stage ? before : first.key;
      const fitted = !s.stage;
      if (fitted) s.section = { ...Opening.EXPLAINED };
      setStage(key, fitted);
      asking.verdicts();
      tools.load();
      const worst = fitted && Opening.worst(fresh.verdicts);
      if (worst) {
        // At the stated speed: what is written beside sliders and badge is then of one state. Of a shape and of pressed faces the
        // figure on them must be the one that was judged, so they stand at that speed.
        const { speed_rpm: speed, ...rest } = worst.look.values, own = worst.look.released_by || worst.look.section === "part";
        choose({ ...worst, look: { ...worst.look, values: own ? { ...rest, speed_rpm: speed } : rest } });
      }
    }

    /** Slider values that the user had moved and that the new scene still allows. */
    function kept(one, old) {
      const was = old && loaded[one.key];
      if (!was) return {};
      return Object.fromEntries(Object.entries(old).filter(([key, value]) => {
        const range = one.ranges[key];
        return range && !Validity.POCKET.includes(key) && value !== was[key] && value >= range[0] && value <= range[1];
      }));
    }

    function header({ title, origin, not_judged: open, status }) {
      Panels.unasked(part("unasked"), open, status);
      part("title").textContent = title;
      part("origin").hidden = !origin.length;
      part("origin").textContent = origin.join(" ");
    }

    /** Take in what the program says of the file; ask again what it did not answer while it was away. */
    function file(said) {
      const known = /** @type {Told} */ (s.file), away = known.lost; // only the program behind a page tells anything
      // The program repeats itself every few seconds as a sign of life: a picture that settles is not begun again for that.
      if (Object.entries(said).every(([key, value]) => known[/** @type {keyof Told} */ (key)] === value)) return;
      Object.assign(known, said);
      if (away && !known.lost) {
        Object.assign(s, { refused: null, unjudged: null });
        asking.figures();
        asking.verdicts();
      }
      showAll();
      frame.draw();
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
    part("restate").addEventListener("click", restated);
    part("undo").addEventListener("click", changes.undo);
    part("redo").addEventListener("click", changes.redo);
    Divider.attach(part("divider"), root, frame.draw);
    if (source.live) Sheet.attach(root, frame.draw);
    load(data);
    plots = Readout.attachAll(document);
    Saving.plots(document);
    Address.attach(s, frame, {
      setStage: (key) => setStage(key, false), taken, units: (name) => { units.show(name); Units.choose(name); },
      light: (name) => { light.show(name); page.dataset.theme = name; }, enlarge, look: (view) => { frame.moved(view); },
      about: (named) => {
        const found = s.scene.data.verdicts.find((one) => `${one.stage}:${one.key}` === named && one.look.target);
        if (found) s.about = { point: found.look.target, pair: found.look.pair, key: found.key, stage: found.stage };
      },
    });
    refresh();

    return {
      load, choose, setStage, change, settled: frame.settled, pick: frame.pick,
      fitView: (name) => frame.fit(tools.from(name)),
      file, resized: frame.draw, restate: restated, undo: changes.undo, redo: changes.redo, newer: (load_) => { newer = load_; },
      get version() { return s.scene.data.version; },
      probe: Probe.create(s, frame, tools),
      moment: moments.go, cut: tools.cut, enlarge, stages: () => s.scene.data.stages.map((one) => one.key), stage: () => s.stage,
      get state() {
        return { stage: s.stage.key, values: { ...Setting.now(s) }, view: s.view, section: s.section, apart: s.apart, shape: { ...s.shape, words: Shape.words(s) }, figures: Validity.figures(s).found,
          held: { figures: Validity.figures(s).level, verdicts: Validity.verdicts(s).level }, version: s.scene.data.version,
          ...asking.counts, measures: s.measures.length, webgl: Boolean(frame.painter), cost: frame.painter && frame.painter.cost };
      },
    };
  }

  return { start };
})();
