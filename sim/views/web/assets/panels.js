// @ts-check
"use strict";
/* Beside the scene: the figures of the state, the list of verdicts, the bodies, the measures. */
const Panels = (() => {
  const { element } = Controls;

  const PATTERNS = { middle: "middles carry", edges: "edges carry", full: "middles and edges carry" };

  /** `stated`: words on the pressure that the program is judged at, where the slider shows another. */
  function pathRows(path, stated) {
    const distance = path.distance_mm;
    const list = [
      ["move", `${path.move} of ${path.moves}${path.block ? `, N${path.block}` : ""}, ${path.purpose}`],
      ["tip", `Ø ${Units.shown(2 * path.tip_mm[0], "length")}, z ${Units.shown(path.tip_mm[1], "length")}`],
      ["closest pair", distance === null ? "nothing near" : distance <= 0 ? `${path.part} touches ${path.body}` : `${path.part} to ${path.body}`],
      ["distance", distance === null ? "–" : Units.shown(distance, "length")],
    ];
    if (path.speed_rpm !== null) list.push(["speed that the program has here", Units.shown(path.speed_rpm, "speed")]);
    if (path.factor !== null) list.push([`grip left over needed${stated}`, path.factor.toFixed(2)]);
    return list;
  }

  /** What 1 um of bore radius does, which is asked once nothing moves any more. */
  function changeOfPeak(figures) {
    const change = figures.peak_change_for_1_um_MPa;
    if (change === undefined && figures.held) return "– when the slider rests";
    return change === undefined || change === null ? "–" : `± ${Units.shown(change, "stress", 2)}`;
  }

  /** Rows of what and value for the figures of a state. */
  function rows(stage, figures, { why = "", stated = "" } = {}) {
    if (!figures) return why ? [["state", `not computed: ${why}`]] : [];
    if (stage.key === "boring") return figures.path ? pathRows(figures.path, "") : [["path", "the jaws need no boring"]];
    const list = figures.path ? pathRows(figures.path, stated) : [];
    list.push(
      ["state", figures.gripped ? (figures.held ? `gripped at ${Units.shown(figures.jaw_travel_mm, "length")}` : "not held: no grip is left, or a jaw lets go")
        : `open, ${Units.shown(figures.gap_mm, "length")} to the part`],
      ["grip in all", figures.gripped ? Units.shown(figures.total_N / 1000, "force") : "none"],
      ["at rest", Units.shown(figures.rest_total_N / 1000, "force")],
      ...(figures.held && Grip.counted(figures) < 1 ? [["counted for holding", `${Units.shown(figures.rest_total_N / 1000, "force")}, as at rest`]] : []),
      ["needed by the cuts, no safety", Units.shown(figures.needed_N / 1000, "force")],
      ["the cut's side force", figures.side_force_N > 0 ? `${Units.shown(figures.side_force_N / 1000, "force")}, counted` : "not counted here; in the verdicts it is"],
      ...(stage.unequal && figures.held ? [["why jaws differ", stage.unequal]] : []),
      ["centrifugal, per jaw", Units.shown(figures.centrifugal_per_jaw_N / 1000, "force")],
      ["permissible speed", figures.permissible_rpm === null ? "no limit" : Units.shown(Math.floor(figures.permissible_rpm + 1e-6), "speed")],
      ["largest pressure, this size", figures.held ? Units.shown(figures.peak_MPa, "stress", 1) : "none"],
      ["for 1\u00a0µm of bore radius", changeOfPeak(figures)],
      ["contact", figures.held ? `${PATTERNS[figures.pattern]}, ${(100 * figures.closed_share).toFixed(0)}\u00a0% closed` : "none"],
    );
    return list;
  }

  function showFigures(root, stage, figures, words) {
    const list = rows(stage, figures, words);
    if (list.length !== root.children.length) root.replaceChildren(...list.map(() => element("div", {}, element("dt", {}), element("dd", {}))));
    list.forEach((row, k) => row.forEach((said, n) => Controls.write(root.children[k].children[n], said)));
  }

  function mark(verdict) {
    return element("span", { class: `mark ${verdict.status}` }, element("span", { "aria-hidden": "true" }, verdict.symbol), ` ${verdict.word}`);
  }

  const same = (one, other) => one.key === other.key && one.stage === other.stage;

  /** What of a state belongs beside a verdict on its own stage: a verdict is judged at its own worst speed, size and angle, and
   * this is the figure of the state that the sliders show. What a state has no figure of has none here.
   * @type {Record<string, (figures: any, stage: any) => string | null>} */
  const NOW = {
    grip_at_rest: (found) => Units.shown(found.rest_total_N / 1000, "force"),
    least_grip_of_a_jaw: (found) => (found.gripped ? found.held ? Units.shown(Math.min(...found.grip_N) / 1000, "force") : "not held" : null),
    marking: (found) => (found.gripped && found.held ? Units.shown(found.peak_MPa, "stress") : null),
    tool_clearance: ({ path }) => (path && path.distance_mm !== null ? Units.shown(path.distance_mm, "length") : null),
    grip_travel: (found, stage) => (found.gripped ? Units.shown(Math.min(found.jaw_travel_mm, stage.ranges.travel_mm[1] - found.jaw_travel_mm), "length") : null), // to the nearer end
    loading_clearance: (found) => (found.gripped ? null : Units.shown(found.gap_mm, "length")),
  };

  /** @type {(verdict: any, now: { figures: any, stage: any }) => string} */
  function live(verdict, now) {
    const { figures, stage } = now, own = stage.sizes ? stage.name : stage.key;
    const figure = figures && own === verdict.stage ? NOW[verdict.key] : undefined;
    return (figure && figure(figures, stage)) || "";
  }

  /** How far a verdict is from its limit: nothing at the limit itself, right of it what is to spare, left what lacks. */
  function margin({ bar, margin: words, status }, doubtful) {
    const line = element("span", { class: "margin", "aria-hidden": "true" }, bar ? element("i", { class: doubtful ? "none" : status }) : null, element("b", {}));
    if (bar) { line.style.setProperty("--from", bar[0]); line.style.setProperty("--long", bar[1]); }
    return element("span", { class: "reach", title: `margin ${words}` }, line, element("span", { class: "times" }, words));
  }

  const passing = (list) => `${list.length} ${list.length === 1 ? "passes" : "pass"}`;

  /** The list of verdicts: what does not pass, then what passes, a line a stage until it is opened.
   * `chosen(verdict)` is told which one is taken; `finder` holds the filter, and the button that opens every stage. */
  function verdicts(root, chosen, finder) {
    let items = [], open = null; // open: the verdict whose message is shown
    let folds = [], shown = []; // the lines of stages, and what is in the list in its order
    const unfolded = new Set();
    const sought = () => finder.field.value.trim().toLowerCase();
    finder.field.addEventListener("input", () => arrange());
    finder.button.addEventListener("click", () => {
      const all = folds.every(({ stage }) => unfolded.has(stage));
      for (const { stage } of folds) if (all) unfolded.delete(stage); else unfolded.add(stage);
      arrange();
    });

    /** What holds of the state shown has its own mark; of the rest a word says why it has none, then what it was. */
    function body(verdict, stated, level) {
      const worst = element("span", { class: "worst" }, "worst case "), now = element("span", { class: "now" });
      worst.hidden = now.hidden = true;
      const values = [worst, element("span", { class: "value" }, Units.text(verdict.value)), now, element("span", { class: "limit" }, Units.text(verdict.limit))];
      const doubtful = level !== "current";
      return [
        doubtful ? element("span", { class: "mark none" }, element("span", { "aria-hidden": "true" }, Summary.SIGNS[level]), ` ${Summary.WORDS[level]}`) : mark(verdict),
        element("span", { class: "line" }, element("strong", {}, verdict.name), element("span", { class: "where" }, verdict.stage)),
        element("span", { class: "line told" }, doubtful ? element("span", { class: "before" }, `${level === "old" ? "before" : "as stated"}: ${verdict.word}, `) : null, ...values,
          !stated || doubtful || (stated.value === verdict.value && stated.status === verdict.status) ? null
            : element("span", { class: "stated" }, `as stated: ${Units.text(stated.value)}, ${stated.word}`)),
        margin(verdict, doubtful),
      ];
    }

    function more(verdict, level) {
      return element("div", { class: "more" }, level === "current" ? null : element("p", { class: "before" }, `${level === "old" ? "Before" : "As stated"}:`),
        element("p", {}, Units.text(verdict.message)),
        verdict.advice ? element("p", { class: "advice" }, Units.text(verdict.advice)) : null,
        element("p", { class: "basis" }, `Limit: ${verdict.basis}`));
    }

    function made(verdict) {
      const button = element("button", { type: "button", "aria-expanded": "false", onclick: () => {
        const taken = entry.verdict, opened = !(open && same(open, taken));
        open = opened ? taken : null;
        chosen(taken);
        expand();
      } });
      const entry = { verdict, text: "", button, item: element("li", {}, button) };
      return entry;
    }

    function expand() {
      for (const entry of items) {
        const opened = Boolean(open) && same(open, entry.verdict);
        entry.button.setAttribute("aria-expanded", String(opened));
        const text = opened ? entry.text : "";
        if (entry.opened === text) continue;
        entry.opened = text;
        entry.item.querySelector(".more")?.remove();
        if (opened) entry.item.append(more(entry.verdict, entry.level));
      }
    }

    /** Write what the state shown has beside the worst case of each verdict; nothing where its figures do not hold of it. */
    function showNow(now) {
      for (const { verdict, item } of items) {
        const place = item.querySelector(".now"), words = live(verdict, now);
        if (place.textContent === words) continue;
        place.textContent = words;
        place.hidden = item.querySelector(".worst").hidden = !words;
      }
    }

    /** Show a list of verdicts in its order, worst first. `stated`: those of the scenario; `level`: what the list is worth. */
    function show(list, stated, level) {
      const before = items, focused = document.activeElement;
      items = list.map((verdict) => Object.assign(before.find((entry) => same(entry.verdict, verdict)) || made(verdict), { verdict, level }));
      for (const entry of items) {
        const own = stated.find((one) => same(one, entry.verdict));
        const text = JSON.stringify([entry.verdict, own && own.value, own && own.status, level, Units.system]);
        if (entry.text === text) continue;
        entry.text = text;
        entry.item.className = `verdict ${level === "current" ? entry.verdict.status : "none"}`;
        entry.button.replaceChildren(...body(entry.verdict, own, level));
      }
      expand();
      const stages = [...new Set(items.filter(({ verdict }) => verdict.status === "pass").map(({ verdict }) => verdict.stage))];
      folds = stages.map((stage) => {
        const own = items.filter(({ verdict }) => verdict.status === "pass" && verdict.stage === stage);
        const fold = folds.find((one) => one.stage === stage) || folded(stage);
        const text = JSON.stringify([own.length, own[0].verdict.name, own[0].verdict.margin, level]);
        if (fold.text !== text) fold.button.replaceChildren(...line(stage, own.map(({ verdict }) => verdict), level));
        return Object.assign(fold, { own, text });
      });
      shown = [...items.filter(({ verdict }) => verdict.status !== "pass").map(({ item }) => item), ...folds.flatMap(({ item, own }) => [item, ...own.map((entry) => entry.item)])];
      arrange();
      if (shown.length === root.children.length && shown.every((item, k) => root.children[k] === item)) return;
      root.replaceChildren(...shown);
      if (focused instanceof HTMLElement && root.contains(focused)) focused.focus({ preventScroll: true });
    }

    function folded(stage) {
      const button = element("button", { type: "button", "aria-expanded": "false", onclick: () => {
        if (unfolded.has(stage)) unfolded.delete(stage); else unfolded.add(stage);
        arrange();
      } });
      return { stage, button, item: element("li", { class: "fold" }, button), own: [], text: "" };
    }

    /** A stage in one line; where its verdicts do not hold of the state shown it says so and nothing of passing. */
    function line(stage, own, level) {
      const doubtful = level !== "current", nearest = own[0];
      return [
        doubtful ? element("span", { class: "mark none" }, element("span", { "aria-hidden": "true" }, Summary.SIGNS[level]), ` ${Summary.WORDS[level]}`)
          : element("span", { class: "mark pass" }, element("span", { "aria-hidden": "true" }, nearest.symbol), ` ${passing(own)}`),
        element("span", { class: "line" }, element("strong", {}, stage)),
        element("span", { class: "line told" }, element("span", { class: "limit" }, doubtful ? `${own.length} passed before` : `nearest: ${nearest.name}`)),
        margin(nearest, doubtful),
      ];
    }

    /** Show what is sought; without a word what does not pass, and of the stages those that were opened. */
    function arrange() {
      const word = sought();
      const found = ({ verdict }) => `${verdict.name} ${verdict.stage} ${verdict.message}`.toLowerCase().includes(word);
      for (const entry of items) entry.item.hidden = word ? !found(entry) : entry.verdict.status === "pass" && !unfolded.has(entry.verdict.stage);
      for (const fold of folds) {
        fold.item.hidden = Boolean(word);
        fold.button.setAttribute("aria-expanded", String(unfolded.has(fold.stage)));
      }
      const all = folds.length > 0 && folds.every(({ stage }) => unfolded.has(stage));
      Controls.write(finder.button, all ? "fold what passes" : "open all");
      finder.none.hidden = !word || items.some(found);
    }

    return { show, showNow };
  }

  const FOLDED = 3; // questions that matter, from which on they are folded

  function question({ question: asked, stage, why, needs }) {
    return element("li", {}, element("span", { class: "line" }, element("strong", {}, asked), element("span", { class: "where" }, stage)),
      element("span", { class: "why" }, `${Units.text(why)} Needs ${needs}.`));
  }

  function questions(list, open, ...head) {
    const folded = element("details", {}, element("summary", {}, ...head), element("ul", {}, ...list.map(question)));
    folded.open = open;
    return folded;
  }

  /** What was not asked, at the head of the verdicts: what matters in full, unless it is long or something fails. */
  function unasked(root, all, status) {
    const matter = all.filter((one) => one.matters), rest = all.filter((one) => !one.matters);
    const sign = element("span", { class: "mark open" }, element("span", { "aria-hidden": "true" }, "?"), " not asked");
    root.hidden = !all.length;
    root.replaceChildren(...[
      matter.length ? questions(matter, matter.length <= FOLDED && status !== "fail", sign, ` ${matter.length} question${matter.length > 1 ? "s" : ""}`) : null,
      rest.length ? questions(rest, false, `${rest.length} lesser ${rest.length === 1 ? "question" : "questions"} not asked`) : null,
    ].filter(Boolean));
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

  return { live, showFigures, verdicts, unasked, bodies, rows, mark };
})();
