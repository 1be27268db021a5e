// Lengths, places and tangents along chains of cubics.
const NODES = [-0.9061798459386640, -0.5384693101056831, 0, 0.5384693101056831, 0.9061798459386640];
const WEIGHTS = [0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665,
  0.2369268850561891];

function evaluate(c, t) {
  const s = 1 - t;
  const ax = c[2] - c[0], ay = c[3] - c[1], bx = c[4] - c[2], by = c[5] - c[3];
  const ex = c[6] - c[4], ey = c[7] - c[5];
  return {
    x: s * s * s * c[0] + 3 * s * s * t * c[2] + 3 * s * t * t * c[4] + t * t * t * c[6],
    y: s * s * s * c[1] + 3 * s * s * t * c[3] + 3 * s * t * t * c[5] + t * t * t * c[7],
    dx: 3 * (s * s * ax + 2 * s * t * bx + t * t * ex),
    dy: 3 * (s * s * ay + 2 * s * t * by + t * t * ey),
    ddx: 6 * (s * (bx - ax) + t * (ex - bx)),
    ddy: 6 * (s * (by - ay) + t * (ey - by)),
  };
}
function lengthOf(c, t0, t1) {
  let sum = 0;
  for (let panel = 0; panel < 4; panel++) {
    const half = (t1 - t0) / 8, middle = t0 + (2 * panel + 1) * half;
    for (let i = 0; i < 5; i++) {
      const at = evaluate(c, middle + half * NODES[i]);
      sum += half * WEIGHTS[i] * Math.hypot(at.dx, at.dy);
    }
  }
  return sum;
}
function cutCubic(c, t0, t1) { // de Casteljau, twice
  const split = (q, t) => {
    const mix = (i, j) => q[i] + t * (q[j] - q[i]);
    const [ax, ay, bx, by, cx, cy] = [mix(0, 2), mix(1, 3), mix(2, 4), mix(3, 5), mix(4, 6), mix(5, 7)];
    const dx = ax + t * (bx - ax), dy = ay + t * (by - ay), ex = bx + t * (cx - bx), ey = by + t * (cy - by);
    const fx = dx + t * (ex - dx), fy = dy + t * (ey - dy);
    return [[q[0], q[1], ax, ay, dx, dy, fx, fy], [fx, fy, ex, ey, cx, cy, q[6], q[7]]];
  };
  const right = t0 > 0 ? split(c, t0)[1] : c;
  return t1 < 1 ? split(right, t0 < 1 ? (t1 - t0) / (1 - t0) : 1)[0] : right;
}
class Chain {
  constructor(cubics) {
    this.cubics = cubics;
    this.ends = [0];
    for (const c of cubics) this.ends.push(this.ends.at(-1) + lengthOf(c, 0, 1));
  }
  get length() { return this.ends.at(-1); }
  find(s) { // [which cubic, parameter]
    let i = 0;
    while (i < this.cubics.length - 1 && this.ends[i + 1] <= s) i++;
    const c = this.cubics[i], whole = this.ends[i + 1] - this.ends[i], rest = s - this.ends[i];
    if (rest <= 0 || whole <= 0) return [i, 0];
    if (rest >= whole) return [i, 1];
    let t = rest / whole, low = 0, high = 1;
    for (let k = 0; k < 40; k++) {
      const off = lengthOf(c, 0, t) - rest;
      if (Math.abs(off) < 1e-3) break;
      if (off > 0) high = t; else low = t;
      const at = evaluate(c, t), next = t - off / Math.hypot(at.dx, at.dy);
      t = next > low && next < high ? next : (low + high) / 2;
    }
    return [i, t];
  }
  at(s) { // point and unit tangent
    const [i, t] = this.find(s);
    const p = evaluate(this.cubics[i], t);
    let q = p;
    if (Math.hypot(p.dx, p.dy) < 1e-6) q = evaluate(this.cubics[i], t < 0.5 ? 1e-4 : 1 - 1e-4);
    const speed = Math.hypot(q.dx, q.dy) || 1;
    return { x: p.x, y: p.y, tx: q.dx / speed, ty: q.dy / speed };
  }
  part(s0, s1) { // cubics from s0 to s1
    if (s1 - s0 < 1e-6) return [];
    const [i, t] = this.find(s0), [j, u] = this.find(s1), out = [];
    for (let k = i; k <= j; k++) {
      const from = k === i ? t : 0, to = k === j ? u : 1;
      if (to - from > 1e-9) out.push(cutCubic(this.cubics[k], from, to));
    }
    return out;
  }
}
const backwards = (cubics) =>
  cubics.map((c) => [c[6], c[7], c[4], c[5], c[2], c[3], c[0], c[1]]).reverse();
const under = (m, c) => { // matrix [a, b, c, d, e, f] as in SVG
  const out = [];
  for (let i = 0; i < 8; i += 2)
    out.push(m[0] * c[i] + m[2] * c[i + 1] + m[4], m[1] * c[i] + m[3] * c[i + 1] + m[5]);
  return out;
};
const times = (m, n) => [m[0] * n[0] + m[2] * n[1], m[1] * n[0] + m[3] * n[1],
  m[0] * n[2] + m[2] * n[3], m[1] * n[2] + m[3] * n[3],
  m[0] * n[4] + m[2] * n[5] + m[4], m[1] * n[4] + m[3] * n[5] + m[5]];
// The turn and shift that lay point and tangent `b` on point and tangent `a`.
function laid(a, b) {
  const cos = a.tx * b.tx + a.ty * b.ty, sin = a.ty * b.tx - a.tx * b.ty;
  return [cos, sin, -sin, cos, a.x - cos * b.x + sin * b.y, a.y - sin * b.x - cos * b.y];
}
const curveText = (cubics) => cubics.map((c, i) => {
  const gap = !i || Math.hypot(c[0] - cubics[i - 1][6], c[1] - cubics[i - 1][7]) > 1;
  const n = c.map((v) => Math.round(v * 10) / 10);
  return (gap ? `M${n[0]} ${n[1]}` : "") + `C${n.slice(2).join(" ")}`;
}).join("");
