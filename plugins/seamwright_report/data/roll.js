// One side of a seam rolled along the other: where both stand when so much is walked.
function outlineOf(piece, state, z) {
  const layers = piece < 0 ? null : layersAt(piece, state, z);
  return layers && { layers, chain: new Chain(cubicsOf(layers.s)) };
}
function stretchOf(outline, start, long, forward) { // cubics along an outline, in sewing order
  const whole = outline.length;
  const other = forward ? start + long : start - long;
  const low = Math.min(start, other), shift = Math.floor(low / whole + 1e-9) * whole;
  let a = Math.max(low - shift, 0), b = a + long;
  const near = (s) => { // ends at joints are taken exactly there
    const found = outline.ends.find((end) => Math.abs(end - s) < 3);
    return found === undefined ? s : found;
  };
  a = near(a);
  b = b > whole + 3 ? whole + near(b - whole) : near(b);
  const cubics = b <= whole ? outline.part(a, b)
    : [...outline.part(a, whole), ...outline.part(0, b - whole)];
  return forward ? cubics : backwards(cubics);
}
// A side of a seam in one frame: its run as one chain, running on straight from piece to piece and
// over a closed dart; and each piece with the matrix that lays it there.
class Sewn {
  constructor(side, which, z, mirrored) {
    this.bodies = [];
    const run = [];
    this.forward = true;
    side.ways[which].forEach(([piece, forward, letters], part) => {
      const numbers = unpacked(letters), outline = outlineOf(piece, side.st, z);
      if (part === 0) this.forward = Boolean(forward);
      // Pieces are drawn as one half of a body each: one that would lie on the other side of the
      // run than the first does is turned over.
      const over = mirrored !== (Boolean(forward) !== this.forward);
      let at = 0;
      for (let size = 0; size < z; size++) at += 1 + 2 * numbers[at];
      for (let k = 0; outline && k < numbers[at]; k++) {
        const raw = stretchOf(outline.chain, numbers[at + 1 + 2 * k], numbers[at + 2 + 2 * k], forward);
        if (!raw.length) continue;
        let matrix = over ? [-1, 0, 0, 1, 0, 0] : [1, 0, 0, 1, 0, 0];
        if (run.length) {
          const tip = new Chain([run.at(-1)]), foot = new Chain([under(matrix, raw[0])]);
          matrix = times(laid(tip.at(tip.length), foot.at(0)), matrix);
        }
        run.push(...raw.map((c) => under(matrix, c)));
        this.bodies.push({ piece, matrix, layers: outline.layers });
      }
    });
    this.chain = new Chain(run);
    // The piece lies on the left of an outline's way (y up), on the other side if turned over.
    this.inward = this.forward !== mirrored ? 1 : -1;
  }
  get ok() { return this.chain.cubics.length > 0 && this.chain.length > 1; }
  at(s) { return this.chain.at(Math.min(Math.max(s, 0), this.chain.length)); }
  inside(p) { return { x: p.ty * this.inward, y: -p.tx * this.inward }; }
}
class Roll {
  constructor(seam, which, z) {
    this.side = seam[which];
    this.made = stripOf(this.side, z);
    this.to = new Sewn(this.side, 1, z, false);
    const plain = new Sewn(this.side, 0, z, false);
    // Laid edge to edge, the pieces lie on either side of the seam: one is turned over if need be.
    this.turned = plain.ok && this.to.ok && plain.inward === this.to.inward;
    this.sew = this.turned ? new Sewn(this.side, 0, z, true) : plain;
    this.ok = Boolean(this.made && this.to.ok && this.sew.ok);
    if (this.ok) this.frame();
  }
  frame() { // the still side runs from left to right
    const a = this.to.at(0), b = this.to.at(this.to.chain.length);
    const long = Math.hypot(b.x - a.x, b.y - a.y);
    const flat = long > 1 ? { tx: (b.x - a.x) / long, ty: (b.y - a.y) / long } : a;
    this.still = laid({ x: 0, y: 0, tx: 1, ty: 0 }, { ...a, ...flat });
  }
  // How far along both sides the contact is when `u` is walked on the still side. Plain: as far on
  // one as on the other. Eased: what a stretch between two notches holds is taken up within it.
  walked(u, eased) {
    if (!eased) return [u, u];
    const { bounds } = this.made;
    let i = 1;
    while (i < bounds.length - 1 && bounds[i].to < u) i++;
    const a = bounds[i - 1], b = bounds[i];
    const share = b.to > a.to ? Math.min(Math.max((u - a.to) / (b.to - a.to), 0), 1) : 1;
    return [a.sew + share * (b.sew - a.sew), u];
  }
  most(eased) { return eased ? this.made.to : Math.min(this.made.sew, this.made.to); }
  // Lengths as they were measured, as lengths along the chains that are drawn.
  own(sewn, s) {
    const measured = sewn === this.sew ? this.made.sew : this.made.to;
    return measured > 0 ? s * sewn.chain.length / measured : 0;
  }
  move(u, eased) { // matrices of both sides, and the contact
    const [s, t] = this.walked(u, eased);
    const p = this.to.at(this.own(this.to, t)), q = this.sew.at(this.own(this.sew, s));
    const [x, y] = under(this.still, [p.x, p.y, 0, 0, 0, 0, 0, 0]);
    return { s, t, x, y, rolled: times(this.still, laid(p, q)) };
  }
  box() { // round the still run; the other rolls through
    const out = [Infinity, Infinity, -Infinity, -Infinity];
    for (let k = 0; k <= 48; k++) {
      const p = this.to.at(this.to.chain.length * k / 48);
      const [x, y] = under(this.still, [p.x, p.y, 0, 0, 0, 0, 0, 0]);
      out[0] = Math.min(out[0], x); out[1] = Math.min(out[1], y);
      out[2] = Math.max(out[2], x); out[3] = Math.max(out[3], y);
    }
    return out;
  }
}
