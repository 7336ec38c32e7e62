// @ts-check
"use strict";
/* The shading programs. Light is counted linearly; the last step turns it into the screen's colours. */
const Shaders = (() => {
  const HEAD = "#version 300 es\nprecision highp float;\nprecision highp int;\nprecision highp sampler2DShadow;\n";
  /* CUT: a section plane is on. SOFT: one of many pictures whose mean is shown; without it one quick picture. SHADOW:
     the quick picture has its shadow too. What is not needed is left out, since a computer may have to draw without a
     graphics card. Colours are squared to light and rooted back: near enough to the screen's curve, and exact for what is
     shown without light. */

  const LEAN = `
/* Of a jaw that gives way: how far outward (mm) at a height w, and by how much more per mm of z below and above it. */
uniform vec4 lean;
vec4 leant(vec3 p) { return vec4(p.x + lean.x + lean.y * min(p.z - lean.w, 0.0) + lean.z * max(p.z - lean.w, 0.0), p.yz, 1.0); }
`;

  const SOLID_VERTEX = LEAN + `
layout(location = 0) in vec3 position;
layout(location = 1) in vec3 normal;
layout(location = 2) in vec2 place;
uniform mat4 model, camera, keyLight, domeLight;
out vec3 world, across;
out vec2 onFace;
#if defined(SOFT) || defined(SHADOW)
out vec3 inKey, inDome;
#endif
void main() {
  vec4 p = model * leant(position);
  world = p.xyz;
  across = mat3(model) * normal;
  onFace = place;
#if defined(SOFT) || defined(SHADOW)
  inKey = (keyLight * p).xyz * 0.5 + 0.5;
  inDome = (domeLight * p).xyz * 0.5 + 0.5;
#endif
  gl_Position = camera * p;
}`;

  /* kind: 0 solid, 1 pressure on a face, 2 seen through. cut, also: the section's planes, xyz normal and w distance; what lies
     beyond both is taken away. */
  const SOLID_FRAGMENT = `
in vec3 world, across;
in vec2 onFace;
#if defined(SOFT) || defined(SHADOW)
in vec3 inKey, inDome;
#endif
uniform vec3 colour, eye, key, dome, up, back, domeTint, hatchInk;
uniform vec4 cut, also;
uniform float kind, opacity, hatchTurn, hatchStep, jaw, rows, scale, bare, yields, lit, number;
uniform sampler2DShadow keyShadow, domeShadow;
uniform sampler2D pressures, map;
out vec4 shown;

vec4 finished(vec3 c, float alpha) {
#ifdef SOFT
  return vec4(c, alpha);
#else
  return vec4(sqrt(c), alpha);
#endif
}
#ifdef SOFT
/* The mean of three places within this width of the shadow map, turned from pixel to pixel and from picture to picture:
   a shadow's edge melts instead of standing as often as there are pictures. */
float open(sampler2DShadow shadow, vec3 at, float facing, float wide) {
  float turn = 6.2832 * fract(52.9829 * fract(dot(gl_FragCoord.xy + 5.588 * number, vec2(0.06711056, 0.00583715))));
  float nearer = 0.0012 + (0.004 + wide) * min(3.0, sqrt(1.0 - facing * facing) / max(facing, 0.01));
  float found = 0.0;
  for (int k = 0; k < 3; k += 1) {
    float a = turn + 2.4 * float(k);
    vec2 off = wide * sqrt((float(k) + 0.5) / 3.0) * vec2(cos(a), sin(a));
    found += texture(shadow, vec3(at.xy + off, at.z - nearer));
  }
  return found / 3.0;
}
#else
float open(sampler2DShadow shadow, vec3 at, float facing, float wide) {
  return texture(shadow, vec3(at.xy, at.z - 0.0012 - 0.004 * (1.0 - facing)));
}
#endif
#ifdef CUT
/* Of the planes the one through which a line of sight comes out of what is taken away: the first that it crosses downward. */
vec4 entered() {
  if (dot(also.xyz, also.xyz) < 0.5) return cut;
  vec3 way = world - eye;
  float a = dot(cut.xyz, way), b = dot(also.xyz, way);
  float s = a < 0.0 ? (cut.w - dot(cut.xyz, eye)) / a : 1e9, t = b < 0.0 ? (also.w - dot(also.xyz, eye)) / b : 1e9;
  return s < t ? cut : also;
}
vec3 hatched(vec3 base, vec4 plane) {
  vec3 n = plane.xyz;
  vec3 line = eye + (world - eye) * (plane.w - dot(n, eye)) / dot(n, world - eye);
  vec3 a = normalize(abs(n.x) < 0.9 ? cross(n, vec3(1.0, 0.0, 0.0)) : cross(n, vec3(0.0, 1.0, 0.0)));
  vec3 b = cross(n, a);
  float s = (dot(line, a) * cos(hatchTurn) + dot(line, b) * sin(hatchTurn)) / hatchStep;
  float w = max(fwidth(s), 1e-4);
  float d = abs(fract(s) - 0.5);
  return mix(base, hatchInk, 0.30 * smoothstep(0.10 + w, 0.10 - w, d));
}
#endif
void main() {
#ifdef CUT
  if (dot(cut.xyz, world) > cut.w && dot(also.xyz, world) > also.w) discard;
#endif
  if (kind > 0.5 && kind < 1.5) {
    float p = texture(pressures, vec2(onFace.x, (jaw + clamp(onFace.y, 0.5 / rows, 1.0 - 0.5 / rows)) / 3.0)).r;
    float slope = fwidth(p) + 1e-9;
    vec3 c = texture(map, vec2(sqrt(clamp(p / scale, 0.0, 1.0)) * 255.0 / 256.0 + 0.5 / 256.0, 0.5)).rgb;
    if (p > scale && fract(dot(world, vec3(0.577, 0.577, 0.577)) / (0.36 * hatchStep)) < 0.3) c = vec3(1.0);
    if (abs(p - yields) < 1.2 * slope) c = vec3(1.0, 0.541, 0.0);
    if (abs(p - bare) < slope) c = vec3(0.13, 0.15, 0.18); else if (p < bare) discard;
    shown = finished(c * c, 1.0);
    return;
  }
#ifdef CUT
  if (!gl_FrontFacing && kind < 0.5) {
    // The inside of a solid that the plane has opened: its cut face, flat and hatched.
    vec4 plane = entered();
    vec3 flatten = mix(colour, vec3(1.0), 0.22) * (0.74 + 0.22 * abs(dot(plane.xyz, back)));
    shown = finished(hatched(flatten, plane), 1.0);
    return;
  }
#endif
  vec3 v = normalize(eye - world);
  vec3 n = normalize(across);
  if (kind > 1.5 && dot(n, v) < 0.0) n = -n;
  float facing = max(dot(n, v), 0.0);
  float onKey = max(dot(n, key), 0.0);
  float rim = (1.0 - facing) * (1.0 - facing);
  vec3 r = reflect(-v, n);
  float keyOpen = 1.0, ambientOpen = 1.0;
#if defined(SOFT) || defined(SHADOW)
  if (onKey > 0.0) keyOpen = open(keyShadow, inKey, onKey, 0.012);
#endif
#ifdef SOFT
  float onDome = max(dot(n, dome), 0.0);
  float got = onDome > 0.0 ? 4.0 * onDome * open(domeShadow, inDome, onDome, 0.03) : 0.0;
  vec3 ambient = domeTint * got;
  ambientOpen = 0.25 + 0.75 * got;
#else
  vec3 ambient = mix(vec3(0.30, 0.30, 0.31), vec3(0.58, 0.59, 0.605), 0.5 + 0.5 * dot(n, up));
#endif
  float high = clamp(0.47 + 0.62 * dot(r, up), 0.0, 1.0);
  float lamp = clamp((dot(r, key) - 0.70) * 3.4, 0.0, 1.0);
  vec3 sky = mix(vec3(0.30, 0.30, 0.315), vec3(0.86, 0.875, 0.90), high) + 0.55 * lamp * lamp * keyOpen;
  vec3 light = 0.86 * ambient + vec3(0.78, 0.765, 0.74) * onKey * keyOpen + 0.10 * facing;
  vec3 mirror = sky * mix(colour, vec3(1.0), 0.25 + 0.5 * rim * rim) * (0.19 + 0.35 * rim * rim) * ambientOpen;
  vec3 c = (colour * light * 0.80 + mirror) * lit;
  shown = finished(c, kind > 1.5 ? opacity * (0.55 + 0.9 * rim) : 1.0);
}`;

  const EDGE_VERTEX = LEAN + `
layout(location = 0) in vec3 position;
uniform mat4 model, camera;
out vec3 world;
void main() {
  vec4 p = model * leant(position);
  world = p.xyz;
  gl_Position = camera * p;
  gl_Position.z -= 0.0006 * gl_Position.w;
}`;
  const EDGE_FRAGMENT = `
in vec3 world;
uniform vec4 cut, also, ink;
out vec4 shown;
void main() {
#ifdef CUT
  if (dot(cut.xyz, world) > cut.w + 0.02 && dot(also.xyz, world) > also.w + 0.02) discard;
#endif
#ifdef SOFT
  shown = ink;
#else
  shown = vec4(sqrt(ink.rgb), ink.a);
#endif
}`;

  const DEPTH_VERTEX = LEAN + `
layout(location = 0) in vec3 position;
uniform mat4 model, camera;
out vec3 world;
void main() {
  vec4 p = model * leant(position);
  world = p.xyz;
  gl_Position = camera * p;
}`;
  const DEPTH_FRAGMENT = `
in vec3 world;
uniform vec4 cut, also;
void main() {
#ifdef CUT
  if (dot(cut.xyz, world) > cut.w && dot(also.xyz, world) > also.w) discard;
#endif
}`;

  /* A square of the section plane, `reach` to each side of the point next to `middle`. */
  const PLANE_VERTEX = `
uniform mat4 camera;
uniform vec4 cut, middle;
uniform float reach;
out vec3 world;
void main() {
  vec3 n = cut.xyz;
  vec3 a = normalize(abs(n.x) < 0.9 ? cross(n, vec3(1.0, 0.0, 0.0)) : cross(n, vec3(0.0, 1.0, 0.0)));
  vec2 corner = vec2(gl_VertexID & 1, gl_VertexID >> 1) * 2.0 - 1.0;
  vec3 foot = middle.xyz + n * (cut.w - dot(n, middle.xyz));
  world = foot + reach * (corner.x * a + corner.y * cross(n, a));
  gl_Position = camera * vec4(world, 1.0);
}`;
  const PLANE_FRAGMENT = `
in vec3 world;
uniform vec4 also;
void main() {
  if (dot(also.xyz, world) < also.w) discard;
}`;

  const SCREEN_VERTEX = `
out vec2 at;
void main() {
  at = vec2(gl_VertexID == 1 ? 2.0 : 0.0, gl_VertexID == 2 ? 2.0 : 0.0);
  gl_Position = vec4(at * 2.0 - 1.0, 0.0, 1.0);
}`;
  /* Adds a picture to the sum (toScreen 0), or shows the mean of the sum on the screen (toScreen 1). */
  const SCREEN_FRAGMENT = `
in vec2 at;
uniform sampler2D picture;
uniform float toScreen, share;
out vec4 shown;
void main() {
  vec4 c = texture(picture, at);
  if (toScreen < 0.5) { shown = c; return; }
  shown = vec4(sqrt(max(c.rgb * share, 0.0)), 1.0);
}`;

  /** A program on its way: whether it came to be is not asked here, for the answer would be waited for. */
  function begun(gl, vertex, fragment) {
    const program = gl.createProgram();
    const shaders = [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]].map(([kind, text]) => {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
      return shader;
    });
    gl.linkProgram(program);
    return { program, shaders };
  }

  function made(gl, { program, shaders }) {
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) {
      const wrong = shaders.find((shader) => !gl.getShaderParameter(shader, gl.COMPILE_STATUS));
      throw new Error(wrong ? gl.getShaderInfoLog(wrong) : gl.getProgramInfoLog(program));
    }
    const at = {};
    const count = gl.getProgramParameter(program, gl.ACTIVE_UNIFORMS);
    for (let k = 0; k < count; k += 1) {
      const { name } = gl.getActiveUniform(program, k);
      at[name] = gl.getUniformLocation(program, name);
    }
    return { program, at };
  }

  const TEXTS = {
    solid: [SOLID_VERTEX, SOLID_FRAGMENT], edge: [EDGE_VERTEX, EDGE_FRAGMENT], depth: [DEPTH_VERTEX, DEPTH_FRAGMENT],
    plane: [PLANE_VERTEX, PLANE_FRAGMENT], screen: [SCREEN_VERTEX, SCREEN_FRAGMENT],
  };

  // What the first picture is drawn with, half cut away as a setup is shown; the rest is begun when it is wanted.
  const FIRST = [["solid", "CUT", "SHADOW"], ["edge", "CUT"], ["depth", "CUT"], ["plane"]];

  /** Programs by name and features, each made when it is first wanted; the first are begun at once, so that the driver
   *  translates them while the scene is still on its way. */
  function all(gl) {
    const found = {}, coming = {};
    const key = (name, wanted) => [name, ...wanted].join(" ");
    const begin = (name, wanted) => {
      const [vertex, fragment] = TEXTS[name];
      const head = HEAD + wanted.map((f) => `#define ${f}\n`).join("");
      return begun(gl, head + vertex, head + fragment);
    };
    for (const [name, ...wanted] of FIRST) coming[key(name, wanted)] = begin(name, wanted);
    gl.flush();
    return (name, ...features) => {
      const wanted = features.filter(Boolean), one = key(name, wanted);
      if (!found[one]) found[one] = made(gl, coming[one] || begin(name, wanted));
      return found[one];
    };
  }

  return { all };
})();
