// Lines unfolded from their letters (packing.py), in whole hundredths of a millimetre, y down.
const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
const VALUE = new Uint8Array(128);
[...LETTERS].forEach((letter, value) => { VALUE[letter.charCodeAt(0)] = value; });

function unpacked(text) {
  const out = [];
  let whole = 0, shift = 1;
  for (let i = 0; i < text.length; i++) {
    const digit = VALUE[text.charCodeAt(i)];
    whole += (digit & 31) * shift;
    if (digit & 32) { shift *= 32; continue; }
    const size = Math.floor(whole / 2);
    out.push(whole % 2 ? -size : size);
    whole = 0; shift = 1;
  }
  return out;
}
const runsOf = (ops) =>
  [...ops.matchAll(/([mlcz])(\d*)/g)].map((found) => [found[1], Number(found[2] || 1)]);

const unfolded = new Map();
function column(number) { // one entry a size: { ops, points } or null
  if (unfolded.has(number)) return unfolded.get(number);
  const out = data.sizes.map(() => null);
  for (const [ops, order, letters, sizes] of data.lines[number]) {
    const own = sizes || data.sizes.map((_, z) => z), values = unpacked(letters);
    const n = values.length / own.length, runs = runsOf(ops);
    const row = new Float64Array(n), change = new Float64Array(n);
    own.forEach((z, k) => {
      const points = new Float64Array(n);
      for (let i = 0; i < n; i++) {
        const value = values[k * n + i];
        if (k === 0) row[i] = value;
        else {
          change[i] = order === 2 && k > 1 ? change[i] + value : value;
          row[i] += change[i];
        }
        points[i] = row[i] + (i > 1 ? points[i - 2] : 0);
      }
      out[z] = { ops, runs, points };
    });
  }
  unfolded.set(number, out);
  return out;
}
const same = (a, b) => Boolean(a && b) && (a === b || a.ops === b.ops &&
  a.points.length === b.points.length && a.points.every((v, i) => v === b.points[i]));

function pathText(strokes) {
  const p = strokes.points;
  let out = "", at = 0, x = 0, y = 0, sx = 0, sy = 0;
  for (const [op, count] of strokes.runs) {
    if (op === "z") { out += "z"; x = sx; y = sy; continue; }
    const words = [];
    for (let k = 0; k < count; k++) {
      const fromX = x, fromY = y;
      for (let j = op === "c" ? 3 : 1; j; j--, at += 2) {
        x = p[at]; y = p[at + 1];
        words.push(`${x - fromX} ${y - fromY}`);
      }
    }
    out += op + words.join(" ").replaceAll(" -", "-");
    if (op === "m") { sx = x; sy = y; }
  }
  return out;
}
// The strokes as cubics of eight numbers each; straight lines with handles at their thirds.
function cubicsOf(strokes) {
  const p = strokes.points, out = [];
  let at = 0, x = 0, y = 0, sx = 0, sy = 0;
  const straight = (u, v) => {
    out.push([x, y, x + (u - x) / 3, y + (v - y) / 3, u - (u - x) / 3, v - (v - y) / 3, u, v]);
    x = u; y = v;
  };
  for (const [op, count] of strokes.runs) {
    for (let k = 0; k < count; k++) {
      if (op === "m") { x = sx = p[at++]; y = sy = p[at++]; }
      else if (op === "l") { straight(p[at], p[at + 1]); at += 2; }
      else if (op === "c") {
        out.push([x, y, p[at], p[at + 1], p[at + 2], p[at + 3], p[at + 4], p[at + 5]]);
        x = p[at + 4]; y = p[at + 5]; at += 6;
      } else if (x !== sx || y !== sy) straight(sx, sy);
    }
  }
  return out;
}
function layersAt(piece, state, z) { // layer -> strokes; null where the piece is not there
  let found = null;
  for (const [from, layers] of data.pieces[piece].t) if (from <= state) found = layers;
  const out = {};
  for (const [kind, number] of Object.entries(found || {})) {
    const strokes = column(number)[z];
    if (strokes) out[kind] = strokes;
  }
  return out.s ? out : null;
}
