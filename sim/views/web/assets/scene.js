// @ts-check
"use strict";
/* The setup as the page draws it: shapes out of the data, and where each body stands at a state. */
const Scene = (() => {
  function bytes(text) {
    const raw = atob(text);
    const out = new Uint8Array(raw.length);
    for (let k = 0; k < raw.length; k += 1) out[k] = raw.charCodeAt(k);
    return out;
  }
  const floats = (text) => new Float32Array(bytes(text).buffer);

  function shape(packed) {
    const triangles = new Uint32Array(bytes(packed.triangles).buffer);
    const positions = floats(packed.positions);
    const small = positions.length / 3 < 65536;
    return {
      positions,
      normals: new Int16Array(bytes(packed.normals).buffer),
      triangles: small ? Uint16Array.from(triangles) : triangles,
      edges: floats(packed.edges),
      places: packed.places ? floats(packed.places) : null,
    };
  }

  const linear = (hex) => [1, 3, 5].map((k) => (parseInt(hex.slice(k, k + 2), 16) / 255) ** 2);

  function read(data) {
    const shapes = Object.fromEntries(Object.entries(data.shapes).map(([name, packed]) => [name, shape(packed)]));
    const stages = Object.fromEntries(data.stages.map((stage) => [stage.key, stage]));
    for (const stage of Object.values(stages)) {
      if (!stage.path) continue;
      const { points, gone_mm: gone, move } = stage.path;
      stage.track = { ...stage.path, points: floats(points), gone: floats(gone), move: new Uint32Array(bytes(move).buffer) };
    }
    const groups = [];
    for (const body of data.bodies) if (!groups.includes(body.group)) groups.push(body.group);
    const hatches = groups.map((_, k) => 0.6 + 1.05 * k);
    return { data, shapes, stages, groups, hatches, map: bytes(data.map) };
  }

  /** The tip (x, z) at a place of a stage's path. */
  function tip(stage, position) {
    const { gone, points } = stage.track;
    let low = 0, high = gone.length - 1;
    const at = Math.max(0, Math.min(position, gone[high]));
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (gone[middle] <= at) low = middle; else high = middle;
    }
    const span = gone[high] - gone[low];
    const share = span > 0 ? (at - gone[low]) / span : 0;
    return [points[2 * low] + share * (points[2 * high] - points[2 * low]),
      points[2 * low + 1] + share * (points[2 * high + 1] - points[2 * low + 1])];
  }

  /** Number of the move at a place of a stage's path. */
  function moveAt(stage, position) {
    const ends = stage.track.ends_mm;
    const found = ends.findIndex((end) => end >= position - 1e-4);
    return found < 0 ? ends.length - 1 : found;
  }

  /** Whether a tool stands in the scene: while boring always, in an operation once it has been run from its start. */
  const tooled = (stage, values) => Boolean(stage.track) && (!stage.touches || values.position_mm > 0);

  /** Travel at which the jaws touch the part of a state, its pocket bored as it is there. */
  function touch(stage, values) {
    const name = sizeName(stage, values.gripped_diameter_mm), stops = (stage.stops || {}).bore_mm || [];
    if (!stage.bored_touches || values.bore_mm === stage.values.bore_mm) return stage.touches[name];
    return stage.bored_touches[stops.indexOf(values.bore_mm)][name];
  }

  /** Where the jaws stand: at the travel asked for, or where the part stops them. */
  function jawTravel(stage, values) {
    if (!stage.touches) return values.travel_mm;
    return Math.min(values.travel_mm, touch(stage, values));
  }
  function sizeName(stage, diameter) {
    const names = Object.keys(stage.sizes);
    return names.reduce((best, name) => (Math.abs(stage.sizes[name] - diameter) < Math.abs(stage.sizes[best] - diameter) ? name : best));
  }

  /** Place of a body, `apart` from 0 (as it stands) to 1 (pulled apart). */
  function matrix(scene, body, stage, values, apart) {
    const [along, outward] = body.apart;
    if (!body.turns) {
      const [x, z] = body.run === null ? [0, 0] : tip(stage, values.position_mm || 0);
      return Linear.turnedAbout(0, body.at[0], body.at[1], 0).map((v, k) => v + (k === 12 ? x : k === 14 ? z + apart * along : 0));
    }
    const turn = values.spindle_angle_rad + (body.jaw === null ? 0 : body.jaw * 2 * Math.PI / 3);
    const slid = body.jaw === null ? 0 : scene.data.slide * jawTravel(stage, values) + apart * outward;
    return Linear.turnedAbout(turn, body.at[0] + slid, body.at[1], body.at[2] + apart * along);
  }

  /** @typedef {{apart?: number, looks?: Record<string, string>, marked?: string[], tints?: (string | null)[], film?: boolean, alone?: string}} Drawn */
  /** What is drawn at a state. `looks` says of each group whether it is solid, glass or hidden; `tints`: colours of the jaws
      in place of their metal's; `film`: the pressures stay whole where a section opens the jaws; `alone`: the one group that a section cuts.
   * @type {(scene: any, stage: any, values: any, drawn?: Drawn) => any[]} */
  function items(scene, stage, values, { apart = 0, looks = {}, marked = [], tints = [], film = false, alone = "" } = {}) {
    const found = [];
    for (const body of scene.data.bodies) {
      if (body.stages.length && !body.stages.includes(stage.key)) continue;
      if (body.run !== null && !(tooled(stage, values) && stage.track.run[moveAt(stage, values.position_mm)] === body.run)) continue;
      const look = looks[body.group] || "solid";
      if (look === "hidden") continue;
      const group = scene.groups.indexOf(body.group);
      found.push({
        body, geometry: body.shape, look, matrix: matrix(scene, body, stage, values, apart), colour: linear((body.group === "soft jaws" && tints[body.jaw]) || body.colour),
        hatch: scene.hatches[group], marked: marked.includes(body.group), whole: body.run !== null || body.kind === "metal in metal" || Boolean(alone && body.group !== alone), lines: !scene.shapes[body.shape].triangles.length,
      });
    }
    if (stage.face && (looks["soft jaws"] || "solid") !== "hidden") {
      const soft = scene.data.bodies.find((body) => body.kind === "soft jaw");
      for (let jaw = 0; jaw < 3; jaw += 1) {
        const body = { ...soft, jaw, at: stage.face_at };
        found.push({ body, geometry: stage.face, look: "solid", matrix: matrix(scene, body, stage, values, apart), colour: [1, 1, 1], pressure: jaw, whole: film || Boolean(alone) });
      }
    }
    return found;
  }

  /** A point of a body in its own frame as it is drawn where a jaw gives way; the shaders do the same.
   * @type {(item: any, point: number[]) => Vector} */
  function leant(item, [x, y, z]) {
    if (!item.lean) return [x, y, z];
    const [out, below, above, height] = item.lean;
    return [x + out + below * Math.min(z - height, 0) + above * Math.max(z - height, 0), y, z];
  }

  /** Corners of the boxes of what is drawn, and the sphere round them. */
  function extent(scene, list) {
    const corners = [];
    for (const item of list) {
      if (item.pressure !== undefined || item.lines) continue;
      const solid = scene.shapes[item.geometry];
      if (!solid.box) {
        const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
        for (let k = 0; k < solid.positions.length; k += 1) {
          low[k % 3] = Math.min(low[k % 3], solid.positions[k]);
          high[k % 3] = Math.max(high[k % 3], solid.positions[k]);
        }
        solid.box = [low, high];
      }
      const [low, high] = solid.box;
      for (let k = 0; k < 8; k += 1) {
        corners.push(Linear.moved(item.matrix, leant(item, [k & 1 ? high[0] : low[0], k & 2 ? high[1] : low[1], k & 4 ? high[2] : low[2]])));
      }
    }
    const low = [0, 1, 2].map((a) => Math.min(...corners.map((c) => c[a])));
    const high = [0, 1, 2].map((a) => Math.max(...corners.map((c) => c[a])));
    const centre = Linear.mix(low, high, 0.5);
    const radius = Math.max(1, ...corners.map((c) => Linear.length(Linear.sub(c, centre))));
    return { corners, centre, radius, low, high };
  }

  /** Along which axis the plane of a section is moved, by its name.
   * @type {Record<string, Vector>} */
  const NORMALS = { along: [0, 1, 0], quarter: [0, 1, 0], level: [1, 0, 0], across: [0, 0, 1], part: [0, 0, 1] };

  /** The plane of a section: points beyond it (dot(normal, p) > distance) are taken away. */
  function plane(section) {
    const normal = NORMALS[section.plane];
    if (!normal) return null;
    const sign = section.flipped ? -1 : 1;
    return [sign * normal[0], sign * normal[1], sign * normal[2], sign * section.at];
  }

  /** The second plane of a quarter: only what lies beyond both is taken away; null for a section by one plane. */
  const second = (section) => (section.plane === "quarter" ? [1, 0, 0, 0] : null);

  return { read, floats, bytes, tip, moveAt, tooled, matrix, touch, jawTravel, sizeName, items, extent, leant, NORMALS, plane, second, linear };
})();
