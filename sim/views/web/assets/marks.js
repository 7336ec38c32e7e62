// @ts-check
"use strict";
/* What is written and drawn over the picture at a state: path and closest pair, grip of each jaw, side force, measures. */
const Marks = (() => {
  /** `c`: scene, stage, values, figures, kinds, apart, gripped, items, cut, about, measures, first, width, height, axes. */
  function draw(overlay, c) {
    const lines = c.trace ? [] : measured(overlay, c); // measures are of the true shape
    if (c.stage.touches && !(c.trace && c.released)) grips(overlay, c);
    if (c.trace) traced(overlay, c);
    if (Scene.tooled(c.stage, c.values) && c.apart === 0) path(overlay, c);
    // A narrow picture has no room for the figure besides: it stands over the picture.
    if (c.about && c.about.point) overlay.words(c.about.point, c.width < NARROW ? c.about.lines.slice(0, 1) : c.about.lines, "about", [26, -34]);
    return lines;
  }

  /** A figure as it may stand in the picture: as it is, as one of before, or not at all. */
  const dated = (c, text) => (!text ? "not computed" : { current: text, preview: `≈ ${text}`, pending: `${text} …`, old: `before: ${text}` }[c.level]);

  function pair(overlay, c, a, b, lines, kind = "pair") {
    overlay.line(a, b, "pair");
    overlay.dot(a, kind === "bad" ? "touch" : "pair", kind === "bad" ? 9 : 4);
    overlay.dot(b, "pair");
    if (!c.about || !c.about.pair) overlay.words(Linear.mix(a, b, 0.5), lines, kind);
  }

  function path(overlay, c) {
    const position = c.values.position_mm, found = c.figures && c.figures.path;
    overlay.path(c.stage.track, position);
    if (!found || !found.ends_mm || Math.abs(found.position_mm - position) > found.step_mm + 1e-3) return;
    const [a, b] = found.ends_mm.map(([rho, z]) => [rho, 0, z]);
    if (found.distance_mm > 0) pair(overlay, c, a, b, [dated(c, Units.shown(found.distance_mm, "length")), `${found.part} to ${found.body}`]);
    else pair(overlay, c, a, b, [dated(c, "✕ touch"), `${found.part} meets ${found.body}`], "bad");
  }

  const LONGEST = 0.62; // of the chuck's radius: the arrow of the highest grip that the chuck gives

  /** Radius of the chuck, mm, by the box that the first view shows. */
  const chuckRadius = (scene) => Math.max(scene.data.reach[1][1], -scene.data.reach[0][1]);

  /** Tail and head of the arrow of a jaw's grip at a state, as long as the grip is high; null without a grip. */
  function gripArrow(c, item, grip) {
    if (!(grip > 0)) return null;
    const box = c.scene.shapes[item.geometry].box;
    const unit = Linear.unit([item.matrix[0], item.matrix[1], 0]), start = Math.hypot(item.matrix[12], item.matrix[13]);
    const outer = start + box[1][0] + 2 + (item.lean ? Scene.leant(item, [0, 0, c.stage.held_mm[0]])[0] : 0), z = c.axial ? box[1][2] : 0.5 * (c.stage.held_mm[0] + c.stage.held_mm[1]);
    const long = Math.max(0.08, LONGEST * Math.min(1, grip / (c.stage.grip_top_N || grip))) * chuckRadius(c.scene);
    const near = Linear.add(Linear.scale(unit, outer), [0, 0, z]), far = Linear.add(Linear.scale(unit, outer + long), [0, 0, z]);
    return c.scene.data.slide < 0 ? { tail: far, head: near, out: far } : { tail: near, head: far, out: far };
  }

  /** Places that a fitted picture must hold beside the bodies: the ends of the arrows. */
  function reach(s) {
    const found = Setting.own(s);
    if (!s.stage.touches || s.apart > 0 || !found || !found.grip_N || !found.gripped || !Setting.gripped(s)) return [];
    const c = { scene: s.scene, stage: s.stage, axial: false };
    return Setting.drawn(s).filter((item) => item.body.kind === "soft jaw" && item.pressure === undefined && !item.lines)
      .flatMap((item) => {
        const one = gripArrow(c, item, found.grip_N[item.body.jaw]);
        return one ? [one.out] : [];
      });
  }

  const ALONG = [0.62, 0.3, 0.08]; // shares of a jaw's top, from its face outward, where its words may stand
  const SAID = { "not held": "not held", "too little": "too little" };

  function grips(overlay, c) {
    c.axial = Math.abs(c.axes.back[2]) > 0.9; // along the spindle the jaws would lie before their arrows
    const { figures: found, stage } = c;
    const jaws = c.items.filter((item) => item.body.kind === "soft jaw" && item.pressure === undefined && !item.lines);
    const holds = c.apart === 0 && found && c.gripped && found.gripped && c.level !== "none" && c.level !== "old";
    const arrows = new Map(holds ? jaws.map((item) => [item, gripArrow(c, item, found.grip_N[item.body.jaw])]) : []);
    for (const [item, one] of arrows) {
      if (!one) continue;
      const behind = Linear.dot(Linear.unit([item.matrix[0], item.matrix[1], 0]), c.axes.back) < -0.25;
      overlay.arrow([one.tail, one.head], `grip${behind ? " behind" : ""}`, 7);
    }
    const middle = overlay.at([0, 0, 0.5 * (stage.held_mm[0] + stage.held_mm[1])]).x; // words stand away from the part
    covered(overlay, c);
    for (const item of jaws) {
      const box = c.scene.shapes[item.geometry].box, kind = c.kinds[item.body.jaw], arrow = arrows.get(item);
      const inner = stage.gripped_radius_mm - Math.hypot(item.matrix[12], item.matrix[13]);
      const seen = (at) => at.x >= 0 && at.y >= 0 && at.x <= c.width && at.y <= c.height;
      const beside = arrow && overlay.at(Linear.mix(arrow.tail, arrow.head, c.scene.data.slide < 0 ? 0.25 : 0.75));
      // On the jaw where its arrow is not seen, near its face where not even its middle is.
      const on = ALONG.map((share) => overlay.at(Linear.moved(item.matrix, [inner + share * (box[1][0] - inner), 0, box[1][2]])));
      const face = overlay.at(Linear.moved(item.matrix, [inner, 0, 0.5 * (stage.held_mm[0] + stage.held_mm[1]) - item.matrix[14]]));
      const drawn = beside && seen(beside), top = on.find(seen), p = drawn ? beside : top || face;
      if (!seen(p)) continue;
      const force = found && found.gripped && found.held ? Units.shown(found.grip_N[item.body.jaw] / 1000, "force") : "";
      const said = kind && SAID[kind] ? [force, SAID[kind]].filter(Boolean).join(", ") : force;
      const text = dated(c, !found ? "" : c.gripped && found.gripped ? said || "not held" : "open");
      overlay.words(drawn || !top ? { x: p.x, y: p.y } : { x: p.x - 40, y: p.y - 22 }, [`jaw ${item.body.jaw + 1}`, text],
        `grip${kind && SAID[kind] && c.level === "current" ? " bad" : ""}`, drawn ? [p.x < middle - 24 ? -16 : 16, 12] : top ? [0, 0] : [84, 12]);
    }
    if (c.apart > 0) return;
    if (found && !c.gripped && found.closest) {
      const turn = Linear.turnedAbout(c.values.spindle_angle_rad, 0, 0, 0);
      const [a, b] = found.closest.map((p) => Linear.moved(turn, p));
      pair(overlay, c, a, b, [dated(c, Units.shown(found.gap_mm, "length")), "jaw 1 to part"]);
    }
    if (c.values.side_force_N > 0) sideForce(overlay, c);
    spin(overlay, c);
  }

  /** Keep what is gripped free of words: the part where the jaws hold it, and with it the pressed faces. */
  function covered(overlay, c) {
    const [low, high] = c.stage.held_mm, radius = c.stage.gripped_radius_mm, points = [];
    for (let k = 0; k < 12; k += 1) {
      for (const z of [low, high]) points.push(overlay.at([radius * Math.cos(k * Math.PI / 6), radius * Math.sin(k * Math.PI / 6), z]));
    }
    overlay.keep(points);
  }

  /** Which way the spindle turns and how fast, about the chuck's rim; the way is that of the spindle angle. */
  function spin(overlay, c) {
    if (!(c.values.speed_rpm > 0)) return;
    const radius = 1.05 * chuckRadius(c.scene), z = 0.55 * c.scene.data.reach[0][2], points = [];
    for (let k = 0; k <= 24; k += 1) {
      const turn = 0.42 + 0.85 * k / 24;
      points.push([radius * Math.cos(turn), radius * Math.sin(turn), z]);
    }
    overlay.arrow(points, "spin", 4);
    overlay.words(points[8], [Units.shown(c.values.speed_rpm, "speed")], "grip", [-14, -8]);
  }

  const NARROW = 520; // pixels of width under which a picture has no room beside what it shows
  const SHORT = 27; // letters of a line in a narrow picture

  /** A line in lines of a narrow picture; what is read aloud or copied keeps its blanks. */
  function short(line) {
    return line.split(" ").reduce((found, word) => {
      const last = found[found.length - 1], longer = `${last} ${word}`;
      return last && longer.length <= SHORT ? [...found.slice(0, -1), longer] : [...found.filter((one) => one), word];
    }, [""]).map((one, k, all) => (k < all.length - 1 ? `${one} ` : one));
  }

  /** The circle whose roundness is told as it is drawn on the part, beside a round one. */
  function traced(overlay, c) {
    overlay.ring(c.trace.round, "trace round");
    overlay.ring(c.trace.points, "trace");
    const high = c.trace.points.map((point) => ({ point, y: overlay.at(point).y })).sort((a, b) => a.y - b.y)[0].point;
    const lines = [dated(c, c.trace.lines[0]), ...c.trace.lines.slice(1)];
    // In a narrow picture they stand in its corner, in short lines: beside the trace they would lie on it.
    if (c.width < NARROW) overlay.words({ x: 8, y: 8 }, lines.flatMap(short), "measure", [0, 0]);
    else overlay.words(high, lines, "measure", [30, -30]);
  }

  function sideForce(overlay, c) {
    const radius = c.stage.gripped_radius_mm, z = c.stage.held_mm[1] + 0.25 * radius;
    const tail = [1.75 * radius, 0, z], head = [1.02 * radius, 0, z];
    overlay.arrow([tail, head], "force", 6);
    overlay.words(tail, [`side force ${Units.shown(c.values.side_force_N / 1000, "force")}`, "of the cut, fixed in space"], "pair", [10, -10]);
  }

  /** A measured point where the scene shows it, pulled apart or not; null where its body is not there. */
  function placeOf(c, anchor, apart) {
    const body = c.scene.data.bodies.find((b) => b.name === anchor.body.name && (!b.stages.length || b.stages.includes(c.stage.key)));
    return body ? Linear.moved(Scene.matrix(c.scene, body, c.stage, c.values, apart), anchor.local) : null;
  }

  function measured(overlay, c) {
    const lines = [];
    for (const [k, points] of c.measures.entries()) {
      const [a, b] = points.map((p) => placeOf(c, p, c.apart));
      const [from, to] = points.map((p) => placeOf(c, p, 0));
      if (!a || !b || !from || !to) continue;
      const found = Picking.between(from, to);
      overlay.line(a, b, "measure");
      overlay.dot(a, "measure");
      overlay.dot(b, "measure");
      overlay.words(Linear.mix(a, b, 0.5), [Units.shown(found.distance, "length", 1)], "measure");
      const number = (value) => Units.signed(Units.number(value, "length", 1)), [one, other] = found.diameters;
      const across = points[0].body.name === points[1].body.name ? "in radius" : "gap in radius";
      lines.push(`${k + 1}: ${Units.shown(found.distance, "length", 1)} (Ø ${number(one)} to Ø ${number(other)}: ${across} ${number(found.radius)}; depth ${number(found.z)}; x ${number(found.x)}, y ${number(found.y)})`);
    }
    const start = c.first && placeOf(c, c.first, c.apart);
    if (start) overlay.dot(start, "measure", 6);
    return lines;
  }

  return { draw, reach };
})();
