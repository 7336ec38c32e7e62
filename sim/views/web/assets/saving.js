// @ts-check
"use strict";
/* The picture and the plots as files, and the picture on the clipboard. A saved picture says of which state it is and what was
   judged there, in the words of the page. */
const Saving = (() => {
  const { element } = Controls;
  const STYLES = ["fill", "fill-opacity", "stroke", "stroke-width", "stroke-dasharray", "opacity", "font-family", "font-size", "font-weight"];

  /** A name that every disk takes: letters, digits and lines.
   * @type {(title: string, more: string, ending: string) => string} */
  const named = (title, more, ending) => `${`${title} ${more}`.toLowerCase().normalize("NFKD").replace(/[^a-z0-9]+/g, "_").replace(/^_+|_+$/g, "").slice(0, 60) || "picture"}.${ending}`;

  function hand(blob, name) {
    const address = URL.createObjectURL(blob);
    element("a", { href: address, download: name }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
  }

  /** A cell of a table that no spreadsheet takes for a formula.
   * @type {(value: string | number | null) => string} */
  function cell(value) {
    if (value === null || typeof value === "number") return value === null ? "" : String(value);
    const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
    return /[",\n\r]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
  }

  /** The curves of a plot as a table: one row a point.
   * @type {(axes: any[]) => string} */
  function table(axes) {
    const rows = [["plot", "curve", "across", "x", "y"]];
    for (const one of axes) {
      for (const curve of one.series || []) {
        curve.xs.forEach((/** @type {number} */ x, /** @type {number} */ k) => rows.push([one.title || "", curve.name, one.across, x, curve.ys[k]]));
      }
    }
    return `${rows.map((row) => row.map(cell).join(",")).join("\r\n")}\r\n`;
  }

  /** An SVG with the styles that it has on the page written into it. */
  function standing(svg, width, height) {
    const copy = svg.cloneNode(true), from = [svg, ...svg.querySelectorAll("*")], to = [copy, ...copy.querySelectorAll("*")];
    from.forEach((one, k) => {
      const style = getComputedStyle(one);
      to[k].setAttribute("style", STYLES.map((name) => `${name}:${style.getPropertyValue(name)}`).join(";"));
    });
    copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
    copy.setAttribute("width", width);
    copy.setAttribute("height", height);
    return new XMLSerializer().serializeToString(copy);
  }

  function pictured(text) {
    return new Promise((done, failed) => {
      const image = new Image();
      image.onload = () => done(image);
      image.onerror = () => failed(new Error("the drawing over the picture cannot be read"));
      image.src = `data:image/svg+xml;charset=utf-8,${encodeURIComponent(text)}`;
    });
  }

  /** The colours of pressures with their figures, as they stand over the picture; nothing where none are shown. */
  function scaleDrawn(pen, view, ratio) {
    const bar = view.querySelector(".scalebar i"), box = view.querySelector("[data-part=scale]");
    if (!bar || !box || box.hidden) return;
    const at = view.getBoundingClientRect(), here = bar.getBoundingClientRect(), frame = box.getBoundingClientRect(), style = getComputedStyle(box);
    pen.fillStyle = style.backgroundColor;
    pen.fillRect((frame.left - at.left) * ratio, (frame.top - at.top) * ratio, frame.width * ratio, frame.height * ratio);
    const stops = getComputedStyle(bar).backgroundImage.match(/rgba?\([^)]*\)|#[0-9a-f]{6}/g) || [];
    const left = (here.left - at.left) * ratio, top = (here.top - at.top) * ratio, lies = here.width > here.height; // in a narrow picture
    const shade = lies ? pen.createLinearGradient(left, 0, left + here.width * ratio, 0) : pen.createLinearGradient(0, top + here.height * ratio, 0, top);
    stops.forEach((/** @type {string} */ stop, /** @type {number} */ k) => shade.addColorStop(k / Math.max(1, stops.length - 1), stop));
    pen.fillStyle = shade;
    pen.fillRect(left, top, here.width * ratio, here.height * ratio);
    overDrawn(pen, view, at, ratio);
    pen.fillStyle = style.color;
    pen.font = `${parseFloat(style.fontSize) * ratio}px ${style.fontFamily}`;
    pen.textBaseline = "middle";
    for (const words of [...box.querySelectorAll("p, .tick, .peak")].filter((one) => one.textContent && one.getClientRects().length)) {
      const place = words.getBoundingClientRect();
      const lines = lined(pen, words.textContent, Math.max(place.width, 40) * ratio);
      lines.forEach((line, k) => pen.fillText(line, (place.left - at.left) * ratio, (place.top - at.top + place.height * (k + 0.5) / lines.length) * ratio));
    }
  }

  /** The mark of what is over the range, hatched; nothing where nothing is. */
  function overDrawn(pen, view, at, ratio) {
    const over = view.querySelector("[data-part=scale-over]");
    if (!over || over.hidden) return;
    const { left, top, width, height } = over.getBoundingClientRect(), x = (left - at.left) * ratio, y = (top - at.top) * ratio;
    pen.save();
    pen.beginPath();
    pen.rect(x, y, width * ratio, height * ratio);
    pen.clip();
    pen.fillStyle = "#24004a";
    pen.fillRect(x, y, width * ratio, height * ratio);
    pen.strokeStyle = "#ffffff";
    pen.lineWidth = 2 * ratio;
    for (let k = -height; k < width; k += 6) {
      pen.beginPath();
      pen.moveTo(x + k * ratio, y + height * ratio);
      pen.lineTo(x + (k + height) * ratio, y);
      pen.stroke();
    }
    pen.restore();
  }

  /** Words broken into lines of a width. */
  function lined(pen, text, width) {
    const lines = [""];
    for (const word of text.split(/ +/)) {
      const longer = `${lines[lines.length - 1]} ${word}`.trim();
      if (pen.measureText(longer).width <= width * 1.02 || !lines[lines.length - 1]) lines[lines.length - 1] = longer; else lines.push(word);
    }
    return lines;
  }

  /** The picture with what is written over it, and below it the title and the words of the badge. */
  async function picture(root, s) {
    const view = root.querySelector("[data-part=view]"), canvas = root.querySelector("[data-part=canvas]"), overlay = root.querySelector("[data-part=overlay]");
    const ratio = Math.max(1, Math.min(window.devicePixelRatio || 1, 2)), width = canvas.clientWidth * ratio, height = canvas.clientHeight * ratio;
    const made = document.createElement("canvas"), pen = /** @type {CanvasRenderingContext2D} */ (made.getContext("2d"));
    const style = getComputedStyle(root), small = 15 * ratio, foot = [s.scene.data.title, root.querySelector("[data-part=state]").textContent, Summary.line(s)];
    pen.font = `${small}px ${style.fontFamily}`;
    const lines = foot.flatMap((words) => lined(pen, words.replace(/\s+/g, " ").trim(), width - 2 * small));
    Object.assign(made, { width, height: height + (lines.length + 1) * 1.45 * small });
    pen.fillStyle = style.backgroundColor;
    pen.fillRect(0, 0, made.width, made.height);
    pen.drawImage(canvas, 0, 0, width, height);
    pen.drawImage(await pictured(standing(overlay, width, height)), 0, 0, width, height);
    scaleDrawn(pen, view, ratio);
    pen.fillStyle = style.color;
    pen.textBaseline = "alphabetic";
    lines.forEach((words, k) => {
      pen.font = `${k ? 400 : 600} ${small}px ${style.fontFamily}`;
      pen.fillText(words, small, height + (k + 1.2) * 1.45 * small);
    });
    return new Promise((done, failed) => { made.toBlob((blob) => (blob ? done(blob) : failed(new Error("the picture cannot be made"))), "image/png"); });
  }

  /** The buttons that save and copy the picture, for the row of tools. */
  function create(root, s, frame) {
    async function settledPicture(use, button, word) {
      const words = button.textContent;
      try {
        await frame.settled();
        await use();
        button.textContent = word;
      } catch {
        button.textContent = "not possible here";
      }
      setTimeout(() => { button.textContent = words; }, 1500);
    }
    const save = element("button", { type: "button", class: "tool", onclick: () => settledPicture(async () =>
      hand(await picture(root, s), named(s.scene.data.title, s.stage.name, "png")), save, "saved") }, "save the picture");
    const copy = element("button", { type: "button", class: "tool", onclick: () => settledPicture(async () =>
      navigator.clipboard.write([new ClipboardItem({ "image/png": await picture(root, s) })]), copy, "copied") }, "copy the picture");
    copy.hidden = !(navigator.clipboard && window.ClipboardItem);
    return [save, copy];
  }

  /** Give a plot its buttons: as SVG, as PNG and, where its curves are known, as a table. */
  function plot(figure) {
    const svg = figure.querySelector("svg"), title = document.title;
    const name = (figure.querySelector("figcaption") || figure).textContent.trim().split(/[.:;]/)[0];
    const axes = figure.dataset.readout ? JSON.parse(figure.dataset.readout) : [];
    const text = () => {
      const { width, height } = svg.viewBox.baseVal;
      return standing(svg, width, height);
    };
    const drawn = async () => {
      const image = await pictured(text()), made = document.createElement("canvas");
      Object.assign(made, { width: 2 * image.width, height: 2 * image.height });
      const pen = /** @type {CanvasRenderingContext2D} */ (made.getContext("2d"));
      pen.fillStyle = "#ffffff";
      pen.fillRect(0, 0, made.width, made.height);
      pen.drawImage(image, 0, 0, made.width, made.height);
      made.toBlob((blob) => { if (blob) hand(blob, named(title, name, "png")); }, "image/png");
    };
    const button = (words, use) => element("button", { type: "button", "aria-label": `Save as ${words}: ${name}`, onclick: use }, words);
    const row = element("p", { class: "saving" }, "save: ", button("SVG", () => hand(new Blob([text()], { type: "image/svg+xml" }), named(title, name, "svg"))), button("PNG", drawn));
    if (axes.some((one) => (one.series || []).length)) {
      row.append(button("CSV", () => hand(new Blob([table(axes)], { type: "text/csv" }), named(title, name, "csv"))));
    }
    figure.append(row);
  }

  return { create, plot, plots: (root) => root.querySelectorAll("figure").forEach((figure) => { if (figure.querySelector("svg")) plot(figure); }), picture, table, cell, named };
})();
