// @ts-check
"use strict";
/* A grip on the plane of a section, to drag it through the scene. */
const SectionHandle = (() => {
  const EDGE = 18, BAR = 64; // pixels that the grip keeps from the picture's edges, and from the top, where the section's bar is
  const STRAIGHT = 0.95; // looked at so straight the plane moves towards the eye: its grip stands at the left edge, where it covers nothing
  const LEAST = 0.15; // pixels a millimetre: with less of it to be seen the plane is dragged as one looked at straight

  /** Pixels to the right and down that the plane moves in the picture for a millimetre.
   * @type {(matrix: Matrix, point: Vector, normal: Vector, width: number, height: number) => [number, number]} */
  function slope(matrix, point, normal, width, height) {
    const [a, b] = [point, Linear.add(point, normal)].map((one) => Camera.projected(matrix, one, width, height));
    return [b.x - a.x, b.y - a.y];
  }

  /** The same of a plane that moves towards the eye: as far up and down as a length beside it is seen; down is nearer.
   * @type {(view: View, back: Vector, normal: Vector, height: number) => [number, number]} */
  function straight(view, back, normal, height) {
    const pixels = height / (2 * Math.tan(view.angle / 2) * view.distance);
    return [0, Linear.dot(normal, back) < 0 ? -pixels : pixels];
  }

  /** Where the grip is: on the edge of the plane, over the setup.
   * @type {(section: {plane: string, at: number}, reach: Vector[]) => Vector} */
  function place(section, [low, high]) {
    if (section.plane === "across" || section.plane === "part") return [1.04 * high[0], 0, section.at];
    if (section.plane === "level") return [section.at, 0, high[2] + 0.04 * (high[2] - low[2])];
    return [1.04 * high[0], section.at, 0.5 * (low[2] + high[2])];
  }

  /** `cut(at)` moves the plane; it is kept within what there is to cut. */
  function attach(view, s, frame, cut) {
    const grip = Controls.element("span", { class: "sectiongrip", "aria-hidden": "true", title: "Drag the section" }, "↔");
    view.append(grip);
    grip.hidden = true;
    let way = [0, 0], from = null;

    frame.drawn((camera, width, height) => {
      const normal = Scene.NORMALS[s.section.plane];
      grip.hidden = true;
      if (!normal) return;
      const point = place(s.section, s.scene.data.reach), at = Camera.projected(camera.matrix, point, width, height);
      way = slope(camera.matrix, point, normal, width, height);
      const along = Math.abs(Linear.dot(normal, camera.axes.back)) > STRAIGHT || !at.seen || Math.hypot(...way) < LEAST;
      if (along) way = straight(s.view, camera.axes.back, normal, height);
      const inside = (v, least, most) => Math.max(least, Math.min(most - EDGE, v));
      grip.hidden = false;
      grip.title = along ? "Drag the section: down is nearer" : "Drag the section";
      grip.style.left = `${along ? EDGE + 4 : inside(at.x, EDGE, width)}px`;
      grip.style.top = `${along ? 0.5 * height : inside(at.y, BAR, height)}px`;
      grip.style.setProperty("--turn", `${Math.atan2(way[1], way[0])}rad`);
    });
    grip.addEventListener("pointerdown", (event) => {
      event.stopPropagation();
      grip.setPointerCapture(event.pointerId);
      from = { x: event.clientX, y: event.clientY, at: s.section.at, way: [...way] };
    });
    grip.addEventListener("pointermove", (event) => {
      if (!from || !grip.hasPointerCapture(event.pointerId)) return;
      const [dx, dy] = from.way, gone = ((event.clientX - from.x) * dx + (event.clientY - from.y) * dy) / (dx * dx + dy * dy);
      const axis = Scene.NORMALS[s.section.plane].indexOf(1), [low, high] = s.scene.data.reach;
      cut(Math.max(low[axis], Math.min(high[axis], from.at + gone)));
    });
    for (const name of ["pointerup", "pointercancel"]) grip.addEventListener(name, () => { from = null; });
  }

  return { attach, place, slope, straight };
})();
