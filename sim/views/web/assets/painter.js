// @ts-check
"use strict";
/* Draws the scene with WebGL2: first one quick picture, then, while nothing moves, the mean of many whose light comes
   from another place each: soft shadows, dark recesses and smooth edges. Needs no extension for the quick picture. */
const Painter = (() => {
  const SHADOW = 1024;
  const SAMPLES = [40, 24, 16, 12]; // pictures of a settled one, fewer where each takes long
  const FIRST_SHOWN = 8; // fewer are too grainy to show
  const SLOW = 40, SWIFT = 14; // ms for a quick picture; what takes longer is drawn without its shadow, then coarser, and finer again what takes so little
  const EVERYWHERE = [0, 0, 0, -1]; // a second plane that changes nothing: all lies beyond it
  const UPRIGHT = [0, 0, 0, 0]; // a jaw that does not give way
  const UNCUT = [0, 0, 0, 1]; // a plane that takes nothing away: the tool is not sectioned
  const HASTE = [1, 1, 0.6, 0.42]; // share of the screen's fineness
  const MOST = 90_000, LEAST = 0.25; // pixels of the coarsest picture, but never a smaller share than this
  const CELLS = 1.25, WIDEST = 4; // pixels, and at most mm, that corners of a coarse picture are put together in

  function buffer(gl, target, data) {
    const made = gl.createBuffer();
    gl.bindBuffer(target, made);
    gl.bufferData(target, data, gl.STATIC_DRAW);
    return made;
  }

  function texture(gl, format, width, height, options) {
    const made = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, made);
    gl.texStorage2D(gl.TEXTURE_2D, 1, format, width, height);
    for (const [name, value] of options) gl.texParameteri(gl.TEXTURE_2D, name, value);
    return made;
  }

  function create(canvas) {
    const gl = canvas.getContext("webgl2", { antialias: false, alpha: false, stencil: true, preserveDrawingBuffer: true });
    if (!gl) return null;
    const program = Shaders.all(gl);
    const soft = gl.getExtension("EXT_color_buffer_float") || gl.getExtension("EXT_color_buffer_half_float");
    const plain = [[gl.TEXTURE_MIN_FILTER, gl.LINEAR], [gl.TEXTURE_MAG_FILTER, gl.LINEAR],
      [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE], [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE]];

    function shadowMap() {
      const size = SHADOW;
      const map = texture(gl, gl.DEPTH_COMPONENT24, size, size, [...plain,
        [gl.TEXTURE_COMPARE_MODE, gl.COMPARE_REF_TO_TEXTURE], [gl.TEXTURE_COMPARE_FUNC, gl.LEQUAL]]);
      const target = gl.createFramebuffer();
      gl.bindFramebuffer(gl.FRAMEBUFFER, target);
      gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.TEXTURE_2D, map, 0);
      gl.drawBuffers([gl.NONE]);
      return { map, target, size };
    }
    const key = shadowMap(), dome = shadowMap();
    let sheet = null; // the targets of a picture in light and of the sum of pictures
    let size = [0, 0];
    let models = {}, thin = {}; // thin: the same solids with fewer triangles, by the width of their cells (mm)
    let cell = 0; // of those that this picture is drawn with; 0: as they are
    let map = null, pressures = null;
    let taken = 0, faceRows = 1;

    function fitSheets(width, height) {
      if (size[0] === width && size[1] === height) return;
      size = [width, height];
      taken = 0;
      if (!soft) return;
      if (sheet) {
        for (const s of [sheet.one, sheet.sum]) { gl.deleteTexture(s.map); gl.deleteFramebuffer(s.target); }
        gl.deleteRenderbuffer(sheet.depth);
      }
      const make = () => {
        const picture = texture(gl, gl.RGBA16F, width, height, plain);
        const target = gl.createFramebuffer();
        gl.bindFramebuffer(gl.FRAMEBUFFER, target);
        gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, picture, 0);
        return { map: picture, target };
      };
      const one = make();
      const depth = gl.createRenderbuffer();
      gl.bindRenderbuffer(gl.RENDERBUFFER, depth);
      gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH24_STENCIL8, width, height);
      gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_STENCIL_ATTACHMENT, gl.RENDERBUFFER, depth);
      sheet = { one, sum: make(), depth };
    }

    /** Take over the solids: {name: {positions, normals, triangles, edges, places?}}. */
    function load(solids) {
      for (const old of [...Object.values(models), ...Object.values(thin).flatMap(Object.values)]) dropped(old);
      models = {};
      thin = {};
      for (const [name, solid] of Object.entries(solids)) put(name, solid);
    }

    /** What a body is drawn by: its solid, or the one with fewer triangles, made when it is first wanted. */
    function modelOf(item) {
      const model = models[item.geometry];
      if (!cell || model.changed) return model;
      const known = thin[cell] || (thin[cell] = {});
      if (!known[item.geometry]) known[item.geometry] = made(Coarse.thinned(model.solid, cell));
      return known[item.geometry];
    }

    function dropped(old) {
      gl.deleteVertexArray(old.faces);
      gl.deleteVertexArray(old.lines);
      for (const b of old.buffers) gl.deleteBuffer(b);
    }

    /** Take over one solid, in place of what had its name. */
    function put(name, solid) {
      const before = models[name];
      if (before) dropped(before);
      models[name] = { ...made(solid), solid, changed: Boolean(before) }; // one that changes is not thinned at each change
      taken = 0;
    }

    function made(solid) {
      const faces = gl.createVertexArray();
      gl.bindVertexArray(faces);
      const buffers = [buffer(gl, gl.ARRAY_BUFFER, solid.positions)];
      gl.enableVertexAttribArray(0);
      gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
      buffers.push(buffer(gl, gl.ARRAY_BUFFER, solid.normals));
      gl.enableVertexAttribArray(1);
      gl.vertexAttribPointer(1, 3, gl.SHORT, true, 8, 0);
      if (solid.places) {
        buffers.push(buffer(gl, gl.ARRAY_BUFFER, solid.places));
        gl.enableVertexAttribArray(2);
        gl.vertexAttribPointer(2, 2, gl.FLOAT, false, 0, 0);
      }
      buffers.push(buffer(gl, gl.ELEMENT_ARRAY_BUFFER, solid.triangles));
      const lines = gl.createVertexArray();
      gl.bindVertexArray(lines);
      buffers.push(buffer(gl, gl.ARRAY_BUFFER, solid.edges));
      gl.enableVertexAttribArray(0);
      gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
      gl.bindVertexArray(null);
      return {
        faces, lines, buffers, count: solid.triangles.length, ends: solid.edges.length / 3,
        index: solid.triangles.BYTES_PER_ELEMENT === 2 ? gl.UNSIGNED_SHORT : gl.UNSIGNED_INT,
      };
    }

    /** Take over the colours of pressures, 256 steps of RGB. */
    function loadMap(colours) {
      if (map) gl.deleteTexture(map);
      map = texture(gl, gl.RGB8, 256, 1, plain);
      gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
      gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, 256, 1, gl.RGB, gl.UNSIGNED_BYTE, colours);
    }

    /** Take over the pressures of three faces, jaw by jaw, `rows` bands of `columns` each, MPa. */
    function loadPressures(values, columns, rows) {
      if (pressures) gl.deleteTexture(pressures);
      faceRows = rows;
      pressures = texture(gl, gl.R16F, columns, 3 * rows, plain);
      gl.pixelStorei(gl.UNPACK_ALIGNMENT, 4);
      gl.texSubImage2D(gl.TEXTURE_2D, 0, 0, 0, columns, 3 * rows, gl.RED, gl.FLOAT, values);
      taken = 0;
    }

    function use(chosen, values) {
      gl.useProgram(chosen.program);
      for (const [name, value] of Object.entries(values)) {
        const at = chosen.at[name];
        if (at === undefined) continue;
        if (typeof value === "number") gl.uniform1f(at, value);
        else if (value.length === 16) gl.uniformMatrix4fv(at, false, value);
        else if (value.length === 4) gl.uniform4fv(at, value);
        else gl.uniform3fv(at, value);
      }
      return chosen;
    }

    function bind(unit, made) {
      gl.activeTexture(gl.TEXTURE0 + unit);
      gl.bindTexture(gl.TEXTURE_2D, made);
    }

    function drawShadow(into, matrix, scene) {
      gl.bindFramebuffer(gl.FRAMEBUFFER, into.target);
      gl.viewport(0, 0, into.size, into.size);
      gl.enable(gl.DEPTH_TEST);
      gl.disable(gl.BLEND);
      gl.disable(gl.CULL_FACE);
      gl.clear(gl.DEPTH_BUFFER_BIT);
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(1.5, 2);
      const chosen = use(program("depth", scene.cut && "CUT"), { camera: matrix, ...cuts(scene) });
      for (const item of solids(scene)) {
        const model = modelOf(item);
        gl.uniformMatrix4fv(chosen.at.model, false, item.matrix);
        gl.uniform4fv(chosen.at.lean, item.lean || UPRIGHT);
        if (scene.cut) gl.uniform4fv(chosen.at.cut, item.whole ? UNCUT : scene.cut);
        gl.bindVertexArray(model.faces);
        gl.drawElements(gl.TRIANGLES, model.count, model.index, 0);
      }
      gl.disable(gl.POLYGON_OFFSET_FILL);
    }

    function drawFaces(scene, chosen, item, extra) {
      const model = modelOf(item);
      use(chosen, { model: item.matrix, lean: item.lean || UPRIGHT, colour: item.colour, hatchTurn: item.hatch || 0.8, ...extra,
        ...(scene.cut && { cut: item.whole ? UNCUT : scene.cut, also: scene.also || EVERYWHERE }) });
      gl.bindVertexArray(model.faces);
      gl.drawElements(gl.TRIANGLES, model.count, model.index, 0);
    }

    function solidProgram(scene, camera, light, soft_) {
      const chosen = use(program("solid", scene.cut && "CUT", soft_ && "SOFT", !soft_ && light.shadow && "SHADOW"), {
        camera: camera.matrix, keyLight: light.keyMatrix, domeLight: light.domeMatrix, eye: camera.eye, key: light.key,
        dome: light.dome, domeTint: light.tint, up: camera.axes.up, back: camera.axes.back, hatchInk: scene.hatchInk,
        hatchStep: scene.hatchStep, kind: 0, opacity: 1, jaw: 0, rows: faceRows, scale: scene.pressureScale || 1, bare: scene.bare, yields: scene.yields, lit: scene.lit, number: light.number,
        ...cuts(scene),
      });
      [["keyShadow", key.map], ["domeShadow", dome.map], ["pressures", pressures], ["map", map]].forEach(([name, made], unit) => {
        bind(unit, made);
        if (chosen.at[name]) gl.uniform1i(chosen.at[name], unit);
      });
      return chosen;
    }

    /** The planes of a section, as the shaders take them. */
    const cuts = (scene) => (scene.cut ? { cut: scene.cut, also: scene.also || EVERYWHERE } : {});
    const solids = (scene) => scene.items.filter((item) => item.look === "solid" && item.pressure === undefined && !item.lines);

    function drawSolids(chosen, scene) {
      gl.enable(gl.DEPTH_TEST);
      gl.depthFunc(gl.LEQUAL);
      gl.disable(gl.BLEND);
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(1, scene.cut ? 4000 : 1); // cut faces come before what lies on the same solid's other side
      gl.enable(gl.CULL_FACE);
      gl.cullFace(gl.BACK);
      for (const item of solids(scene)) drawFaces(scene, chosen, item, { kind: 0 });
      gl.disable(gl.CULL_FACE);
      gl.disable(gl.POLYGON_OFFSET_FILL);
    }

    function drawPressures(chosen, scene) {
      gl.useProgram(chosen.program);
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(-1, -2);
      for (const item of scene.items) if (item.pressure !== undefined) drawFaces(scene, chosen, item, { kind: 1, jaw: item.pressure });
      gl.disable(gl.POLYGON_OFFSET_FILL);
    }

    /** Draw the insides of the solids that the plane has opened, flat and hatched, as their cut faces. Where a line of
        sight leaves more solids than it enters, it has come in through the plane: only there, and at the plane's depth.
        In haste all insides are drawn where they are. */
    function drawCut(chosen, scene, camera, hasty) {
      const cut = solids(scene).filter((item) => !item.whole);
      if (!hasty) {
        countInsides(scene, camera, cut);
        gl.stencilFunc(gl.NOTEQUAL, 0, 0xff);
        gl.stencilOp(gl.KEEP, gl.KEEP, gl.KEEP);
      }
      gl.useProgram(chosen.program);
      gl.enable(gl.CULL_FACE);
      gl.cullFace(gl.FRONT);
      for (const item of cut) drawFaces(scene, chosen, item, { kind: 0 });
      gl.disable(gl.CULL_FACE);
      if (hasty) return;
      gl.colorMask(false, false, false, false);
      gl.bindVertexArray(null);
      for (const [cut_, also] of scene.also ? [[scene.cut, scene.also], [scene.also, scene.cut]] : [[scene.cut, EVERYWHERE]]) {
        use(program("plane"), { camera: camera.matrix, cut: cut_, also, reach: 2 * scene.radius, middle: [...scene.centre, 1] });
        gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
      }
      gl.colorMask(true, true, true, true);
      gl.disable(gl.STENCIL_TEST);
    }

    /** How many more faces are left than entered beyond the plane, pixel by pixel, as the stencil. */
    function countInsides(scene, camera, cut) {
      const chosen = use(program("depth", "CUT"), { camera: camera.matrix, ...cuts(scene) });
      gl.colorMask(false, false, false, false);
      gl.depthMask(false);
      gl.disable(gl.DEPTH_TEST);
      gl.enable(gl.STENCIL_TEST);
      gl.clear(gl.STENCIL_BUFFER_BIT);
      gl.stencilFunc(gl.ALWAYS, 0, 0xff);
      gl.stencilOpSeparate(gl.BACK, gl.KEEP, gl.KEEP, gl.INCR_WRAP);
      gl.stencilOpSeparate(gl.FRONT, gl.KEEP, gl.KEEP, gl.DECR_WRAP);
      for (const item of cut) {
        const model = modelOf(item);
        gl.uniformMatrix4fv(chosen.at.model, false, item.matrix);
        gl.uniform4fv(chosen.at.lean, item.lean || UPRIGHT);
        gl.bindVertexArray(model.faces);
        gl.drawElements(gl.TRIANGLES, model.count, model.index, 0);
      }
      gl.enable(gl.DEPTH_TEST);
      gl.depthMask(true);
      gl.colorMask(true, true, true, true);
    }

    function drawEdges(scene, camera, soft_) {
      const chosen = use(program("edge", scene.cut && "CUT", soft_ && "SOFT"), { camera: camera.matrix, ...cuts(scene) });
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
      gl.depthMask(false);
      for (const item of scene.items) {
        if (item.pressure !== undefined) continue;
        const model = modelOf(item);
        const strength = item.marked ? 1 : item.look === "glass" ? 0.45 : item.lines ? 0.8 : scene.edges;
        gl.uniform4fv(chosen.at.ink, [...(item.marked ? scene.markInk : scene.edgeInk), strength]);
        gl.uniformMatrix4fv(chosen.at.model, false, item.matrix);
        gl.uniform4fv(chosen.at.lean, item.lean || UPRIGHT);
        if (scene.cut) gl.uniform4fv(chosen.at.cut, item.whole ? UNCUT : scene.cut);
        gl.bindVertexArray(model.lines);
        gl.drawArrays(gl.LINES, 0, model.ends);
      }
      gl.depthMask(true);
    }

    function drawGlass(chosen, scene) {
      const glass = scene.items.filter((item) => item.look === "glass" && !item.lines);
      if (!glass.length) return;
      gl.useProgram(chosen.program);
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.SRC_ALPHA, gl.ONE_MINUS_SRC_ALPHA);
      gl.depthMask(false);
      gl.enable(gl.CULL_FACE);
      for (const side of [gl.FRONT, gl.BACK]) {
        gl.cullFace(side);
        for (const item of glass) drawFaces(scene, chosen, item, { kind: 2, opacity: side === gl.FRONT ? 0.06 : 0.14 });
      }
      gl.cullFace(gl.BACK);
      gl.depthMask(true);
      gl.disable(gl.BLEND);
    }

    function drawScene(scene, camera, light, target, width, height, soft_) {
      if (soft_ || light.shadow) drawShadow(key, light.keyMatrix, scene);
      if (soft_) drawShadow(dome, light.domeMatrix, scene);
      gl.bindFramebuffer(gl.FRAMEBUFFER, target);
      gl.viewport(0, 0, width, height);
      const ground = soft_ ? scene.ground : scene.ground.map(Math.sqrt);
      gl.clearColor(ground[0], ground[1], ground[2], 1);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      const chosen = solidProgram(scene, camera, light, soft_);
      drawSolids(chosen, scene);
      // An inside that lies on another body covers that one's edges, or they would shine through what is left of a thin part.
      const hasty = !soft_ && haste >= HASTE.length - 1, first = hasty && scene.cut;
      if (first) drawEdges(scene, camera, soft_);
      gl.disable(gl.BLEND);
      if (scene.cut) drawCut(chosen, scene, camera, hasty);
      if (pressures) drawPressures(chosen, scene);
      if (!first) drawEdges(scene, camera, soft_);
      drawGlass(chosen, scene);
    }

    function overScreen(values, from) {
      const chosen = use(program("screen"), values);
      bind(0, from);
      gl.uniform1i(chosen.at.picture, 0);
      gl.bindVertexArray(null);
      gl.disable(gl.DEPTH_TEST);
      gl.disable(gl.CULL_FACE);
      gl.drawArrays(gl.TRIANGLES, 0, 3);
    }

    function shownOnScreen(from, share) {
      fitCanvas(...size);
      gl.bindFramebuffer(gl.FRAMEBUFFER, null);
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.disable(gl.BLEND);
      overScreen({ toScreen: 1, share }, from);
    }

    let fence = null, begun = 0, what = "", haste = 0;
    const cost = { quick: 0, soft: 0 };

    function finish(kind) {
      if (fence) gl.deleteSync(fence);
      fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
      gl.flush();
      begun = performance.now();
      what = kind;
    }
    /** Whether the last picture is still being drawn: then another would only wait behind it. */
    function busy() {
      if (!fence) return false;
      if (gl.clientWaitSync(fence, 0, 0) === gl.TIMEOUT_EXPIRED) return true;
      gl.deleteSync(fence);
      fence = null;
      cost[what] = performance.now() - begun;
      // Two pictures in a row decide, so that one hiccup changes nothing.
      if (what === "quick") {
        slowly = cost.quick > SLOW ? slowly + 1 : 0;
        if (slowly >= 2 && haste < HASTE.length - 1) { haste += 1; slowly = 0; }
        quickly = cost.quick < SWIFT ? quickly + 1 : 0;
        if (quickly >= 8 && haste > 0) { haste -= 1; quickly = 0; }
      }
      return false;
    }
    let slowly = 0, quickly = 0;

    /** Give the canvas as many pixels as the picture that comes next has; the page stretches it to its place. */
    function fitCanvas(width, height) {
      if (canvas.width !== width || canvas.height !== height) Object.assign(canvas, { width, height });
    }

    /** One quick picture, at most as fine and as shaded as it can be had without a wait. */
    function quick(scene, view, width, height) {
      fitSheets(width, height);
      taken = 0;
      const camera = Camera.matrices(view, width / height, scene.centre, scene.radius);
      const light = Lights.of(camera, scene, -1);
      light.shadow = haste < 1;
      const share = haste < HASTE.length - 1 ? HASTE[haste] : Math.min(HASTE[haste], Math.max(LEAST, Math.sqrt(MOST / (width * height))));
      fitCanvas(Math.round(width * share), Math.round(height * share));
      const pixel = 2 * view.distance * Math.tan(view.angle / 2) / canvas.height; // mm
      cell = haste < 2 ? 0 : Math.min(WIDEST, Math.floor(CELLS * pixel));
      drawScene(scene, camera, light, null, canvas.width, canvas.height, false);
      cell = 0;
      finish("quick");
    }

    /** Add one picture to the settled one; false when it is done or cannot be had. */
    function refine(scene, view, width, height) {
      if (!soft || taken >= SAMPLES[haste]) return false;
      fitSheets(width, height);
      const [jx, jy] = Lights.even(3 * taken + 5);
      const camera = Camera.matrices(view, width / height, scene.centre, scene.radius, [(2 * jx - 1) / width, (2 * jy - 1) / height]);
      drawScene(scene, camera, Lights.of(camera, scene, taken), sheet.one.target, width, height, true);
      gl.bindFramebuffer(gl.FRAMEBUFFER, sheet.sum.target);
      if (taken === 0) { gl.clearColor(0, 0, 0, 0); gl.clear(gl.COLOR_BUFFER_BIT); }
      gl.enable(gl.BLEND);
      gl.blendFunc(gl.ONE, gl.ONE);
      overScreen({ toScreen: 0, share: 1 }, sheet.one.map);
      gl.disable(gl.BLEND);
      taken += 1;
      if (taken >= FIRST_SHOWN) shownOnScreen(sheet.sum.map, 1 / taken);
      finish("soft");
      return taken < SAMPLES[haste];
    }

    return { gl, load, put, loadMap, loadPressures, quick, refine, busy, get cost() { return { ...cost, haste }; } };
  }

  return { create };
})();
