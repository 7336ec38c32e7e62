// @ts-check
"use strict";
/* What is written and drawn over the picture at a state: path and closest pair, grip of each jaw, side force, measures. */
const Marks = (() => {
  /** `c`: scene, stage, values, figures, apart, gripped, items, cut, about, measures, first, width, height, axes. */
  function draw(overlay, c) {
    overlay.triad(c.axes);
    const lines = measured(overlay, c);
    if (c.stage.touches) grips(overlay, c);
    if (Scene.tooled(c.stage, c.values) && c.apart === 0) path(overlay, c);
    if (c.about && c.about.point) overlay.words(c.about.point, c.about.lines, "about", [26, -34]);
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

  function grips(overlay, c) {
    const { figures: found, stage } = c;
    for (const item of c.items) {
      if (item.body.kind !== "soft jaw" || item.pressure !== undefined) continue;
      const box = c.scene.shapes[item.geometry].box;
      const inner = stage.gripped_radius_mm - Math.hypot(item.matrix[12], item.matrix[13]);
      const place = Linear.moved(item.matrix, [inner + 0.62 * (box[1][0] - inner), 0, box[1][2]]);
      const p = overlay.at(place);
      const away = p.x < 0 || p.y < 0 || p.x > c.width || p.y > c.height;
      if (away || (c.cut && Linear.dot(c.cut, place) > c.cut[3] + 0.1)) continue;
      const text = dated(c, !found ? "" : c.gripped && found.gripped ? (found.held ? Units.shown(found.grip_N[item.body.jaw] / 1000, "force") : "not held") : "open");
      overlay.words({ x: p.x - 40, y: p.y - 22 }, [`jaw ${item.body.jaw + 1}`, text], "grip", [0, 0]);
    }
    if (c.apart > 0) return;
    if (found && !c.gripped && found.closest) {
      const turn = Linear.turnedAbout(c.values.spindle_angle_rad, 0, 0, 0);
      const [a, b] = found.closest.map((p) => Linear.moved(turn, p));
      pair(overlay, c, a, b, [dated(c, Units.shown(found.gap_mm, "length")), "jaw 1 to part"]);
    }
    if (c.values.side_force_N > 0) sideForce(overlay, c);
  }

  function sideForce(overlay, c) {
    const radius = c.stage.gripped_radius_mm, z = c.stage.held_mm[1] + 0.25 * radius;
    const tail = [1.75 * radius, 0, z], head = [1.02 * radius, 0, z];
    overlay.line(tail, head, "force");
    overlay.dot(head, "force", 6);
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
      const each = ["x", "y", "z", "radius"].map((name) => `${name} ${Units.signed(Units.number(found[name], "length", 1))}`).join(", ");
      lines.push(`${k + 1}: ${Units.shown(found.distance, "length", 1)} (${each})`);
    }
    const start = c.first && placeOf(c, c.first, c.apart);
    if (start) overlay.dot(start, "measure", 6);
    return lines;
  }

  return { draw };
})();
