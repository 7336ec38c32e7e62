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

  /** A list that follows what is drawn; `view`: the part of the page that the picture stands in.
   * @type {(root: any, view: any, s: any) => () => void} */
  function attach(root, view, s) {
    const list = element("ul", {});
    root.append(list);
    let before = "", first = true;
    return () => {
      if (first) root.open = view.clientWidth >= ROOM[0] && view.clientHeight >= ROOM[1];
      first = false;
      const tinted = Grip.tints(s).some((tint) => tint);
      // In the colours of the materials, whatever the jaws' grip colours them.
      const found = rows(Setting.drawn(s)).map((row) => ({ colour: row.colour, text: words(row, tinted) }));
      const now = JSON.stringify(found);
      if (now === before) return;
      before = now;
      list.replaceChildren(...found.map(({ colour, text }) => {
        const sign = element("i", { "aria-hidden": "true" });
        sign.style.background = colour;
        return element("li", {}, sign, ` ${text}`);
      }));
    };
  }

  return { rows, words, attach };
})();
