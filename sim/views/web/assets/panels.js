"use strict";
/* Beside the scene: the figures of the state, the list of verdicts, the bodies, the measures. */
const Panels = (() => {
  const { element } = Controls;

  const PATTERNS = { middle: "middles carry", edges: "edges carry", full: "middles and edges carry" };

  function pathRows(path) {
    const distance = path.distance_mm;
    const list = [
      ["move", `${path.move} of ${path.moves}${path.block ? `, N${path.block}` : ""}, ${path.purpose}`],
      ["tip", `Ø ${Units.shown(2 * path.tip_mm[0], "length")}, z ${Units.shown(path.tip_mm[1], "length")}`],
      ["closest pair", distance === null ? "nothing near" : distance <= 0 ? `${path.part} touches ${path.body}` : `${path.part} to ${path.body}`],
      ["distance", distance === null ? "–" : Units.shown(distance, "length")],
    ];
    if (path.speed_rpm !== null) list.push(["speed of the move", Units.shown(path.speed_rpm, "speed")]);
    if (path.factor !== null) list.push(["grip left over needed", path.factor.toFixed(2)]);
    return list;
  }

  /** Rows of what and value for the figures of a state. */
  function rows(stage, figures) {
    if (!figures) return [];
    if (stage.key === "boring") return figures.path ? pathRows(figures.path) : [["path", "the jaws need no boring"]];
    const list = figures.path ? pathRows(figures.path) : [];
    list.push(
      ["state", figures.gripped ? (figures.held ? `gripped at ${Units.shown(figures.jaw_travel_mm, "length")}` : "not held: no grip is left, or a jaw lets go")
        : `open, ${Units.shown(figures.gap_mm, "length")} to the part`],
      ["grip in all", figures.gripped ? Units.shown(figures.total_N / 1000, "force") : "none"],
      ["at rest", Units.shown(figures.rest_total_N / 1000, "force")],
      ["needed by the cut", Units.shown(figures.needed_N / 1000, "force")],
      ["centrifugal, per jaw", Units.shown(figures.centrifugal_per_jaw_N / 1000, "force")],
      ["permissible speed", figures.permissible_rpm === null ? "no limit" : Units.shown(figures.permissible_rpm, "speed")],
      ["largest pressure", figures.held ? Units.shown(figures.peak_MPa, "stress", 1) : "none"],
      ["contact", figures.held ? `${PATTERNS[figures.pattern]}, ${(100 * figures.closed_share).toFixed(0)}\u00a0% closed` : "none"],
    );
    return list;
  }

  function showFigures(root, stage, figures) {
    root.replaceChildren(...rows(stage, figures).map(([what, value]) => element("div", {}, element("dt", {}, what), element("dd", {}, value))));
  }

  /** The three faces unrolled, seen from the spindle axis, with the grip of each jaw. */
  function faces(root, map, stage, figures) {
    const bands = figures && figures.bands;
    root.hidden = !bands;
    if (!bands) return;
    if (!root.children.length) {
      for (let jaw = 0; jaw < 3; jaw += 1) root.append(element("figure", {}, element("canvas", { role: "img" }), element("figcaption", {})));
    }
    const values = Scene.floats(bands.MPa), top = Setting.scale(stage, figures), { rows: height, columns: width } = bands;
    [...root.children].forEach((figure, jaw) => {
      const canvas = figure.firstChild, grip = Units.shown(figures.grip_N[jaw] / 1000, "force");
      canvas.width = width;
      canvas.height = height;
      const image = new ImageData(width, height);
      for (let k = 0; k < width * height; k += 1) {
        const row = height - 1 - Math.floor(k / width), column = k % width;
        const share = Math.min(1, values[(jaw * height + row) * width + column] / top);
        const step = Math.round(255 * share);
        image.data.set([map[3 * step], map[3 * step + 1], map[3 * step + 2], 255], 4 * k);
      }
      canvas.getContext("2d").putImageData(image, 0, 0);
      canvas.setAttribute("aria-label", `Pressure on the face of jaw ${jaw + 1}, unrolled`);
      figure.lastChild.textContent = `jaw ${jaw + 1}: ${grip}`;
    });
  }

  /** The bar of pressures beside the picture: its ends, the largest pressure now, the yield strength. */
  /** Places (MPa) and words of the marks on the bar: quarters of it, which are round in MPa; in ksi round steps. */
  function roundTicks(top) {
    if (Units.system !== "inch") return [0, 0.25, 0.5, 0.75, 1].map((at) => [at * top, (at * top).toFixed((top / 4) % 1 ? 1 : 0)]);
    const whole = Units.out(top, "stress"), power = 10 ** Math.floor(Math.log10(whole));
    const step = power * [0.2, 0.25, 0.5, 1, 2].find((size) => whole / (size * power) <= 5.001);
    const count = Math.floor(whole / step + 1e-9);
    return Array.from({ length: count + 1 }, (_, k) => [Units.back(k * step, "stress"), (k * step).toFixed(step < 1 ? 2 : step % 1 ? 1 : 0)]);
  }

  function scaleBar(part, stage, figures) {
    const hidden = !(figures && figures.bands);
    part("scale").hidden = hidden;
    if (hidden) return;
    const top = Setting.scale(stage, figures), share = (value) => `${100 * Math.min(1, value / top)}%`;
    const ticks = roundTicks(top).map(([value, words]) => {
      const near = Math.abs(value - figures.peak_MPa) < 0.07 * top; // leaves room for the largest pressure
      const tick = element("span", { class: "tick" }, near ? "" : words);
      tick.style.bottom = share(value);
      return tick;
    });
    const peak = element("span", { class: "peak" }, `largest ${Units.out(figures.peak_MPa, "stress").toFixed(1)}`);
    peak.style.bottom = share(figures.peak_MPa);
    part("scale-ticks").replaceChildren(...ticks, peak);
    part("scale-unit").textContent = `contact pressure, ${Units.unit("stress")}`;
    part("scale-note").textContent = `means over 3° by 2 mm; yield ${Units.shown(stage.yield_MPa, "stress")}`;
  }

  function mark(verdict) {
    return element("span", { class: `mark ${verdict.status}` }, element("span", { "aria-hidden": "true" }, verdict.symbol), ` ${verdict.word}`);
  }

  /** The list of verdicts; `chosen(index)` is told which one is taken. */
  function verdicts(root, chosen) {
    let items = [];
    let open = -1;

    function body(verdict, stated) {
      return [
        mark(verdict),
        element("span", { class: "line" }, element("strong", {}, verdict.name), element("span", { class: "where" }, verdict.stage)),
        element("span", { class: "line told" }, element("span", { class: "value" }, Units.text(verdict.value)), element("span", { class: "limit" }, Units.text(verdict.limit)),
          stated.value === verdict.value && stated.status === verdict.status ? null
            : element("span", { class: "stated" }, `as stated: ${Units.text(stated.value)}, ${stated.word}`)),
      ];
    }

    function more(verdict) {
      return element("div", { class: "more" }, element("p", {}, Units.text(verdict.message)),
        verdict.advice ? element("p", { class: "advice" }, Units.text(verdict.advice)) : null,
        element("p", { class: "basis" }, `Limit: ${verdict.basis}`));
    }

    function load(list) {
      open = -1;
      items = list.map((stated, index) => {
        const button = element("button", { type: "button", "aria-expanded": "false", onclick: () => { expand(open === index ? -1 : index); chosen(index); } });
        const item = element("li", { class: stated.status }, button);
        return { stated, shown: null, button, item };
      });
      root.replaceChildren(...items.map(({ item }) => item));
    }

    function expand(index) {
      if (open >= 0 && items[open]) {
        items[open].button.setAttribute("aria-expanded", "false");
        items[open].item.querySelector(".more")?.remove();
      }
      open = index;
      if (index >= 0) {
        items[index].button.setAttribute("aria-expanded", "true");
        items[index].item.append(more(items[index].shown || items[index].stated));
      }
    }

    /** Show each verdict as it is at the state: those of `live` replace the stated ones of their name and stage. */
    function show(live) {
      const found = new Map((live || []).map((v) => [`${v.stage}|${v.name}`, v]));
      items.forEach((entry, index) => {
        const verdict = found.get(`${entry.stated.stage}|${entry.stated.name}`) || entry.stated;
        entry.shown = verdict;
        const text = JSON.stringify([verdict, Units.system]);
        if (entry.text === text) return;
        entry.text = text;
        entry.item.className = verdict.status;
        entry.button.replaceChildren(...body(verdict, entry.stated));
        if (index === open) { entry.item.querySelector(".more")?.remove(); entry.item.append(more(verdict)); }
      });
      worstFirst();
    }

    /** What fails at the state stands first, what passes last; else the order stays as it was stated. */
    function worstFirst() {
      const wanted = ["fail", "warn", "pass"].flatMap((status) => items.filter(({ shown }) => shown.status === status)).map(({ item }) => item);
      if (wanted.every((item, index) => root.children[index] === item)) return;
      const focused = document.activeElement;
      root.append(...wanted);
      if (focused && root.contains(focused)) focused.focus({ preventScroll: true });
    }

    return { load, show, expand, get shown() { return items.map((entry) => entry.shown || entry.stated); } };
  }

  /** How each group of bodies is shown. */
  function bodies(root, groups, changed) {
    const selects = {};
    root.replaceChildren(...groups.map((group) => {
      const select = element("select", { onchange: () => changed(group, select.value) },
        ...[["solid", "shown"], ["glass", "seen through"], ["hidden", "hidden"]].map(([value, text]) => element("option", { value }, text)));
      selects[group] = select;
      return element("label", { "data-group": group }, element("span", {}, group), select);
    }));
    return {
      show: (looks, present) => groups.forEach((group) => {
        selects[group].value = looks[group] || "solid";
        selects[group].parentElement.hidden = !present.includes(group);
      }),
    };
  }

  return { showFigures, faces, scaleBar, verdicts, bodies, rows, mark };
})();
