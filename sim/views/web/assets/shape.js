// @ts-check
"use strict";
/* Part and jaws as they give way under the grip, enlarged. It comes with the figures of a state and is drawn as long as they
   hold; what is measured is measured on the true shape only. Of a jaw the model knows its guideway and its pressed face: it
   is drawn straight between the two. */
/** @typedef {{master_mm: number, master_slope: number, pivot_mm: number, face_mm: number, face_slope: number, middle_mm: number}} JawMotion */
/** @typedef {{places: Float32Array, held: boolean[], angles: number, step_mm: number, moved: Int16Array, shift_mm: number[], tilt_rad: number[],
 *   roundness_um: number, largest_um: number, jaws: JawMotion[]}} Known movements in steps of so many mm: place by place outward, around, along z */
const Shape = (() => {
  const STOPS = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000]; // how many times the movement is drawn
  const MOST = 0.3; // of the gripped radius: what is drawn larger would run through itself
  const CREASE = Math.cos(28 * Math.PI / 180); // a sharper bend is an edge, as of the other bodies
  const NAME = "part as it gives way";

  /** @type {WeakMap<any, Known>} */
  const known = new WeakMap();

  /** What came with the figures, its numbers unpacked once.
   * @type {(packed: any) => Known} */
  function read(packed) {
    const before = known.get(packed);
    if (before) return before;
    const found = { ...packed, places: Scene.floats(packed.places_mm), moved: new Int16Array(Scene.bytes(packed.moved).buffer) };
    known.set(packed, found);
    return found;
  }

  /** How many times movements are drawn: as asked, or as many as fit.
   * @type {(shape: {largest_um: number}, asked: number, radius: number) => number} */
  function factor(shape, asked, radius) {
    const fits = STOPS.filter((stop) => stop <= asked && stop * shape.largest_um / 1000 <= MOST * radius);
    return fits.length ? fits[fits.length - 1] : 1;
  }

  /** The step of the slider that draws at most so many times.
   * @type {(times: number) => number} */
  const step = (times) => Math.max(0, STOPS.filter((stop) => stop <= times).length - 1);

  /** Whether this step of the work has a shape to enlarge: elastic bodies, and the program behind the page. */
  const offered = (/** @type {Shown} */ s) => Boolean(s.live && s.stage && s.stage.touches && s.stage.model === "elastic");

  /** What is drawn of the state shown: {shape, times, released}; null at true size, and where nothing is known of this state.
   * @type {(s: Shown) => {shape: Known, times: number, released: boolean} | null} */
  function of(s) {
    if (!s.shape.by || !offered(s) || s.apart > 0 || !Setting.gripped(s)) return null;
    const { found, level } = Validity.figures(s);
    if (!found || !found.shape || !["current", "pending"].includes(level)) return null;
    const shape = read(found.shape), times = factor(shape, STOPS[s.shape.by], s.stage.gripped_radius_mm);
    return times > 1 ? { shape, times, released: s.shape.released } : null;
  }

  /** Movement (mm) of a place at an angle: outward, around, along z; released: of a surface that was cut true while clamped.
   * @type {(shape: Known, place: number, at: number, released: boolean) => number[]} */
  function movement(shape, place, at, released) {
    const { moved, angles, step_mm: step } = shape, from = 3 * place * angles + at;
    const own = [moved[from] * step, moved[from + angles] * step, moved[from + 2 * angles] * step];
    if (released) return shape.held[place] ? [0, 0, 0] : own.map((v) => -v);
    const r = shape.places[2 * place], z = shape.places[2 * place + 1] - shape.jaws[0].middle_mm, turn = 2 * Math.PI * at / angles;
    const c = Math.cos(turn), s = Math.sin(turn), [x, y] = shape.shift_mm, [aboutX, aboutY] = shape.tilt_rad;
    const across = x + aboutY * z, up = y - aboutX * z;
    return [own[0] + across * c + up * s, own[1] + up * c - across * s, own[2] + r * (aboutX * s - aboutY * c)];
  }

  /** Where a place at an angle is drawn, before the spindle turns, mm; `off` is taken off its radius.
   * @type {(shape: Known, place: number, at: number, times: number, released: boolean, off?: number) => Vector} */
  function drawnAt(shape, place, at, times, released, off = 0) {
    const [u, v, w] = movement(shape, place, at, released), turn = 2 * Math.PI * at / shape.angles;
    const out = shape.places[2 * place] + times * (u - off), c = Math.cos(turn), s = Math.sin(turn);
    return [out * c - times * v * s, out * s + times * v * c, shape.places[2 * place + 1] + times * w];
  }

  /** Whether the outline runs counter-clockwise with r to the right and z up.
   * @type {(places: Float32Array, count: number) => boolean} */
  function anticlockwise(places, count) {
    let twice = 0;
    for (let k = 0; k < count; k += 1) {
      const n = (k + 1) % count;
      twice += places[2 * k] * places[2 * n + 1] - places[2 * n] * places[2 * k + 1];
    }
    return twice > 0;
  }

  /** The part as a closed solid of the page.
   * @type {(shape: Known, times: number, released: boolean) => any} */
  function solid(shape, times, released) {
    const { places, angles } = shape, count = places.length / 2 - 1; // the last is the circle whose roundness is told
    const positions = new Float32Array(3 * count * angles), normals = new Int16Array(4 * count * angles);
    for (let k = 0; k < count; k += 1) for (let j = 0; j < angles; j += 1) positions.set(drawnAt(shape, k, j, times, released), 3 * (k * angles + j));
    const corner = (/** @type {number} */ k, /** @type {number} */ n) => Math.hypot(places[2 * k] - places[2 * n], places[2 * k + 1] - places[2 * n + 1]) < 1e-4;
    const turning = anticlockwise(places, count) ? 1 : -1;
    /** @type {(k: number, j: number) => Vector} */
    const at = (k, j) => { const from = 3 * (k * angles + (j + angles) % angles); return [positions[from], positions[from + 1], positions[from + 2]]; };
    for (let k = 0; k < count; k += 1) {
      const before = k > 0 && !corner(k - 1, k) ? k - 1 : k, after = k + 1 < count && !corner(k, k + 1) ? k + 1 : k;
      for (let j = 0; j < angles; j += 1) {
        let around = Linear.sub(at(k, j + 1), at(k, j - 1));
        if (Linear.length(around) < 1e-6) around = [-Math.sin(2 * Math.PI * j / angles), Math.cos(2 * Math.PI * j / angles), 0];
        const normal = Linear.cross(around, Linear.sub(at(after, j), at(before, j))), long = Linear.length(normal) || 1;
        for (let a = 0; a < 3; a += 1) normals[4 * (k * angles + j) + a] = Math.round(32767 * turning * normal[a] / long);
      }
    }
    return { positions, normals, triangles: woven(count, angles, turning), edges: creases(shape, count, at), places: null };
  }

  /** Triangles between each place and the next, round the outline and round the turn. */
  function woven(/** @type {number} */ count, /** @type {number} */ angles, /** @type {number} */ turning) {
    const found = new (count * angles < 65536 ? Uint16Array : Uint32Array)(6 * count * angles);
    let n = 0;
    for (let k = 0; k < count; k += 1) {
      for (let j = 0; j < angles; j += 1) {
        const a = k * angles + j, b = k * angles + (j + 1) % angles, next = ((k + 1) % count) * angles;
        const c = next + j, d = next + (j + 1) % angles;
        for (const v of turning > 0 ? [a, b, c, b, d, c] : [a, c, b, b, c, d]) { found[n] = v; n += 1; }
      }
    }
    return found;
  }

  /** Circles along which the outline bends sharply, as pairs of ends.
   * @type {(shape: Known, count: number, at: (k: number, j: number) => Vector) => Float32Array} */
  function creases(shape, count, at) {
    const { places, angles } = shape, ends = [];
    const way = (/** @type {number} */ k, /** @type {number} */ n) => {
      const dr = places[2 * n] - places[2 * k], dz = places[2 * n + 1] - places[2 * k + 1], long = Math.hypot(dr, dz) || 1;
      return [dr / long, dz / long];
    };
    for (let k = 0; k < count; k += 1) {
      const next = (k + 1) % count, same = Math.hypot(places[2 * k] - places[2 * next], places[2 * k + 1] - places[2 * next + 1]) < 1e-4;
      if (!same || places[2 * k] < 1e-6) continue;
      const [one, other] = [way((k + count - 1) % count, k), way(next, (next + 1) % count)];
      if (one[0] * other[0] + one[1] * other[1] > CREASE) continue;
      for (const row of [k, next]) for (let j = 0; j < angles; j += 1) ends.push(...at(row, j), ...at(row, j + 1));
    }
    return Float32Array.from(ends);
  }

  /** How a body that moves with a jaw gives way, for the painter: [mm at a height, slope below it, slope above it, that height
   * in the body's own frame].
   * @type {(motion: JawMotion, times: number, soft: boolean, low: number, at: number) => number[]} */
  function lean(motion, times, soft, low, at) {
    const { master_mm: own, master_slope: turn, pivot_mm: pivot, face_mm: face, face_slope: opening, middle_mm: middle } = motion;
    if (!soft) return [times * (own + turn * (low - pivot)), times * turn, times * turn, low - at];
    const seat = own - turn * pivot, bottom = face + opening * (low - middle);
    return [times * bottom, low > 1 ? times * (bottom - seat) / low : 0, times * opening, low - at];
  }

  const OF_SOFT_JAW = ["soft jaw", "soft jaw teeth"];

  /** The bodies of a state with part and jaws as they give way.
   * @type {(s: Shown, items: any[]) => any[]} */
  function applied(s, items) {
    const drawn = of(s);
    if (!drawn) return items;
    const { shape, times, released } = drawn, kept = s.shaped;
    if (!kept || kept.of !== shape || kept.times !== times || kept.released !== released || kept.scene !== s.scene) {
      s.scene.shapes[NAME] = solid(shape, times, released);
      s.shaped = { of: shape, times, released, scene: s.scene, fresh: true };
    }
    return items.filter((item) => !(item.body.kind === "workpiece" && item.lines)).map((item) => {
      if (item.body.kind === "workpiece") return { ...item, geometry: NAME, matrix: Linear.turnedAbout(Setting.now(s).spindle_angle_rad, 0, 0, 0) };
      if (item.body.jaw === null || released) return item;
      return { ...item, lean: lean(shape.jaws[item.body.jaw], times, OF_SOFT_JAW.includes(item.body.kind), s.stage.held_mm[0], item.matrix[14]) };
    });
  }

  /** The trace of the circle whose roundness is told: as it is drawn, the round circle that fits it, and words; null at true size.
   * @type {(s: Shown) => {points: Vector[], round: Vector[], lines: string[]} | null} */
  function trace(s) {
    const drawn = of(s);
    if (!drawn) return null;
    const { shape, times, released } = drawn, place = shape.places.length / 2 - 1, { angles } = shape, sign = released ? -1 : 1;
    const out = Array.from({ length: angles }, (_, j) => sign * shape.moved[3 * place * angles + j] * shape.step_mm);
    const wave = (/** @type {(turn: number) => number} */ of_) => out.reduce((sum, u, j) => sum + u * of_(2 * Math.PI * j / angles), 0) / angles;
    const size = wave(() => 1), x = 2 * wave(Math.cos), y = 2 * wave(Math.sin);
    const off = (/** @type {number} */ j) => out[j] - size - x * Math.cos(2 * Math.PI * j / angles) - y * Math.sin(2 * Math.PI * j / angles);
    const turned = Linear.turnedAbout(Setting.now(s).spindle_angle_rad, 0, 0, 0);
    const ring = (/** @type {(j: number) => number} */ less) => Array.from({ length: angles }, (_, j) => Linear.moved(turned, drawnAt(shape, place, j, times, released, less(j))));
    const [r, z] = shape.places.slice(2 * place);
    return {
      points: ring(() => 0), round: ring(off),
      lines: [`${released ? "after release" : "clamped"}: ${Units.shown(shape.roundness_um, "fine")} out of round`,
        `at this state, drawn ×${times}`, `Ø ${Units.shown(2 * r, "length")} at z ${Units.shown(z, "length")}`,
        ...(released ? ["the band in the jaws is not cut: as it came"] : [])],
    };
  }

  /** What is said beside the slider: the factor, and why nothing is enlarged where it is not.
   * @type {(s: Shown) => string} */
  function words(s) {
    if (!s.shape.by) return "×1, true size";
    const drawn = of(s), asked = STOPS[s.shape.by];
    if (drawn) return drawn.times < asked ? `×${drawn.times}, as much as fits` : `×${drawn.times}`;
    if (s.apart > 0) return "not while pulled apart";
    if (!Setting.gripped(s)) return "jaws are open: true size";
    const { found, level } = Validity.figures(s);
    if (level === "pending" || (found && !("shape" in found))) return "being computed …";
    if (level === "current" && found && found.shape) return "×1: larger would not fit";
    return Validity.bored(s) ? "true size: known of the stated pocket only" : "true size: not known of this state";
  }

  return { STOPS, NAME, factor, step, offered, of, solid, lean, movement, applied, trace, words, read };
})();
