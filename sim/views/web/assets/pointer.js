// @ts-check
"use strict";
/* Pointer, touch and keys on the picture. Keys act only while the picture has the focus. */
const Pointer = (() => {
  const NAMES = { x: "above", X: "below", y: "far side", Y: "side", z: "tailstock", Z: "headstock", q: "three-quarter" };

  function attach(area, act) {
    const held = new Map();
    let last = null, travelled = 0, back = () => {};

    const middle = () => {
      const points = [...held.values()];
      const x = points.reduce((sum, p) => sum + p.x, 0) / points.length, y = points.reduce((sum, p) => sum + p.y, 0) / points.length;
      const spread = points.length > 1 ? Math.hypot(points[0].x - points[1].x, points[0].y - points[1].y) : 0;
      return { x, y, spread };
    };

    /** A place of the window in shares of the picture's height from its middle, to the right and up. */
    const place = (x, y) => {
      const box = area.getBoundingClientRect();
      return [(x - box.left - box.width / 2) / (box.height || 1), (box.top + box.height / 2 - y) / (box.height || 1)];
    };

    area.addEventListener("pointerdown", (event) => {
      if (event.target.closest("button, select, input, label, details, ul, output")) return;
      area.focus({ preventScroll: true });
      act.touched();
      area.setPointerCapture(event.pointerId);
      if (!held.size) back = act.kept();
      held.set(event.pointerId, { x: event.clientX, y: event.clientY });
      last = middle();
      travelled = 0;
    });
    area.addEventListener("pointermove", (event) => {
      if (!held.has(event.pointerId)) return;
      held.set(event.pointerId, { x: event.clientX, y: event.clientY });
      const at = middle();
      const dx = at.x - last.x, dy = at.y - last.y, height = area.clientHeight || 1;
      travelled += Math.abs(dx) + Math.abs(dy);
      const moves = held.size > 1 || event.shiftKey || (event.buttons & 6);
      if (moves) act.pan(dx / height, dy / height); else act.orbit(-3.2 * dx / height, 3.2 * dy / height);
      if (held.size > 1 && last.spread > 0 && at.spread > 0) act.zoom(last.spread / at.spread, place(at.x, at.y));
      last = at;
    });
    const lift = (event) => {
      if (!held.delete(event.pointerId)) return;
      if (event.type === "pointerup" && !held.size && travelled < 5 && event.button === 0) {
        const box = area.getBoundingClientRect();
        act.click(event.clientX - box.left, event.clientY - box.top);
      }
      if (held.size) last = middle();
    };
    area.addEventListener("pointerup", lift);
    // A finger that scrolls the page after all has turned nothing.
    area.addEventListener("pointercancel", (event) => {
      if (held.size === 1 && held.has(event.pointerId)) back();
      lift(event);
    });
    area.addEventListener("dblclick", (event) => {
      if (event.target.closest("button, select, input, label, details, ul")) return;
      const box = area.getBoundingClientRect();
      act.double(event.clientX - box.left, event.clientY - box.top);
    });
    area.addEventListener("wheel", (event) => {
      event.preventDefault();
      act.zoom(Math.exp(Math.max(-60, Math.min(60, event.deltaY * (event.deltaMode ? 20 : 1))) * 0.0022), place(event.clientX, event.clientY));
    }, { passive: false });
    area.addEventListener("contextmenu", (event) => event.preventDefault());

    area.addEventListener("keydown", (event) => {
      if (event.target !== area || event.ctrlKey || event.metaKey || event.altKey) return;
      const step = 0.09;
      const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
      if (event.key in arrows) {
        const [dx, dy] = arrows[event.key];
        if (event.shiftKey) act.pan(-0.04 * dx, -0.04 * dy); else act.orbit(step * dx, -step * dy);
      } else if (event.key === "+" || event.key === "=") act.zoom(0.9);
      else if (event.key === "-") act.zoom(1 / 0.9);
      else if (event.key === "0" || event.key === "Home") act.fit();
      else if (event.key in NAMES) act.view(NAMES[event.key]);
      else if (event.key === "Enter") act.enter();
      else if (event.key === " ") act.play();
      else if (event.key === "m") act.measure();
      else if (event.key === "Escape") act.escape();
      else if (/^[1-9]$/.test(event.key)) act.stage(Number(event.key) - 1);
      else return;
      event.preventDefault();
    });
  }

  return { attach };
})();

/* The bar between the picture and the list: dragged, or moved by the arrow keys. */
const Divider = (() => {
  function attach(bar, root, changed) {
    function set(width) {
      const most = Math.max(280, root.clientWidth - 420);
      const side = Math.round(Math.max(280, Math.min(most, width)));
      root.style.setProperty("--side", `${side}px`);
      bar.setAttribute("aria-valuenow", String(Math.round(100 * side / root.clientWidth)));
      changed();
    }
    const side = () => root.querySelector("[data-part=side]").clientWidth;
    bar.addEventListener("pointerdown", (event) => { bar.setPointerCapture(event.pointerId); });
    bar.addEventListener("pointermove", (event) => {
      if (bar.hasPointerCapture(event.pointerId)) set(root.getBoundingClientRect().right - event.clientX);
    });
    bar.addEventListener("keydown", (event) => {
      const steps = { ArrowLeft: 24, ArrowRight: -24 };
      if (!(event.key in steps)) return;
      event.preventDefault();
      set(side() + steps[event.key]);
    });
  }

  return { attach };
})();
