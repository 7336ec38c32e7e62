"use strict";
/* In place of a graphics card one that draws nothing, in a browser without any: the page's own scripts run as ever. */
(() => {
  const real = HTMLCanvasElement.prototype.getContext, cards = new WeakMap();
  const said = {
    getProgramParameter: (_, what) => what !== WebGL2RenderingContext.ACTIVE_UNIFORMS,
    getShaderParameter: () => true,
    clientWaitSync: () => WebGL2RenderingContext.ALREADY_SIGNALED,
    getExtension: () => ({}),
  };
  const of = (own, name) => own[name] ?? (/^[A-Z]/.test(String(name)) ? WebGL2RenderingContext[name] : () => ({}));
  HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
    if (kind !== "webgl2") return real.call(this, kind, ...rest);
    if (!cards.has(this)) cards.set(this, new Proxy({ ...said }, { get: of }));
    return cards.get(this);
  };
})();
