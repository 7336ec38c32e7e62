// @ts-check
"use strict";
/* Which colour of the picture is which body, and of what it is made: a list over the picture that can be folded away. */
const Materials = (() => {
  const { element } = Controls;
  const ROOM = [900, 430]; // pixels of width and height from which on the list is open at first

  /** Bodies of one colour and one material, in the order in which they are drawn.
   * @type {(items: any[]) => {colour: string, metal: string, groups: string[]}[]} */
  function rows(items) {
    /** @type {{colour: string, metal: string, groups: string[]}[]} */
    const found = [];
    for (const { body, pressure } of items) {
      if (pressure !== undefined) continue;
      const name = body.kind === "insert" ? "insert" : body.group;
      const one = found.find((row) => row.colour === body.colour && row.metal === body.metal);
      if (!one) found.push({ colour: body.colour, metal: body.metal, groups: [name] });
      else if (!one.groups.includes(name)) one.groups.push(name);
    }
    return found;
  }

  /** What the list says, a line a colour.
   * @type {(row: {metal: string, groups: string[]}, tinted: boolean) => string} */
  function words({ metal, groups }, tinted) {
    const said = `${groups.join(", ")}${metal ? `: ${metal}` : ""}`;
    return tinted && groups.includes("soft jaws") ? `${said} (coloured by grip)` : said;
  }

  const ASKED = [0.1, 0.5, 0.9, 1]; // shares of the list's width and height at which is asked what it covers

  /** A list that follows what is drawn; `view`: the part of the page that the picture stands in, `frame` draws it.
   * The first picture that is fitted with its arrows folds the list away where it would lie on what is drawn.
   * @type {(root: any, view: any, s: any, frame: any) => () => void} */
  function attach(root, view, s, frame) {
    function covers() {
      const { left, top } = view.getBoundingClientRect(), box = list.getBoundingClientRect();
      return ASKED.some((x) => ASKED.some((y) => frame.pick(box.left - left + x * box.width, box.top - top + y * box.height)));
    }

    const list = element("ul", {});
    root.append(list);
    let before = "", first = true, asked = false;
    return () => {
      if (first) root.open = view.clientWidth >= ROOM[0] && view.clientHeight >= ROOM[1];
      first = false;
      const tinted = !Faces.loose(s) && Grip.tints(s).some((tint) => tint);
      // In the colours of the materials, whatever the jaws' grip colours them.
      const found = rows(Setting.drawn(s)).map((row) => ({ colour: row.colour, text: words(row, tinted) }));
      const now = JSON.stringify(found);
      if (now !== before) fill(found);
      before = now;
      if (asked || frame.turning || !Setting.own(s)) return;
      asked = true;
      if (root.open && covers()) root.open = false;
    };

    function fill(found) {
      list.replaceChildren(...found.map(({ colour, text }) => {
        const sign = element("i", { "aria-hidden": "true" });
        sign.style.background = colour;
        return element("li", {}, sign, ` ${text}`);
      }));
    }
  }

  return { rows, words, attach };
})();
