// The stage of a seam: the picture that rolls, its slider and its switches.
const CLOSE = 9000; // width of the close view, hundredths of a millimetre
const radios = (name, label, choices, chosen, does) => make("fieldset", { class: "choice" },
  make("legend", { class: "unseen" }, label),
  choices.map(([value, words]) => {
    const input = make("input", { type: "radio", name, value, checked: value === chosen });
    input.addEventListener("change", () => does(value));
    return make("label", {}, input, make("span", {}, words));
  }));
const button = (words, label, does) => {
  const node = make("button", { type: "button", "aria-label": label, title: label }, words);
  node.addEventListener("click", does);
  return node;
};

const short = (text) => text.length > 28 ? `${text.slice(0, 27)}…` : text;

class Stage {
  constructor(place, seam, number) {
    this.place = place; this.seam = seam;
    this.which = "a"; this.eased = false; this.close = false; this.u = null; this.playing = 0;
    const id = `seam-${number + 1}`;
    this.slider = make("input", { type: "range", min: 0, step: 1, value: 0,
      "aria-label": "How far is walked", id: `${id}-slider` });
    this.slider.addEventListener("input", () => { this.stop(); this.go(this.slider.value * 100); });
    this.svg = draw("svg", { class: "roll", role: "img", "aria-label": `${seam.n}: both edges` });
    this.told = make("output", { for: `${id}-slider`, class: "told" });
    this.note = make("p", { class: "soft" });
    this.runs = button("Roll", "Roll from end to end", () => this.play());
    this.closer = make("input", { type: "checkbox" });
    this.closer.addEventListener("change", () => { this.close = this.closer.checked; this.show(); });
    place.replaceChildren(
      make("div", { class: "tools" },
        seam.b ? radios(`${id}-when`, "Pieces", [["b", "Before"], ["a", "Now"]], "a",
          (value) => { this.which = value; this.build(); }) : null,
        radios(`${id}-way`, "How the ease is walked", [["plain", "Length for length"],
          ["eased", "Ease taken up"]], "plain",
          (value) => { this.eased = value === "eased"; this.build(); }),
        make("label", { class: "choice" }, this.closer, make("span", {}, "Close"))),
      this.svg,
      make("div", { class: "slide" },
        button("‹", "To the notch before", () => this.hop(-1)), this.slider,
        button("›", "To the next notch", () => this.hop(1)), this.runs),
      this.told, this.note);
    new ResizeObserver(() => this.ready && this.show()).observe(this.svg);
    this.build();
  }
  build() {
    this.stop();
    this.ready = false;
    const roll = this.roll = new Roll(this.seam, this.which, now.z);
    this.svg.replaceChildren();
    for (const node of all("input[type=range], button", this.place)) node.disabled = !roll.ok;
    if (!roll.ok) {
      this.told.replaceChildren("This seam cannot be walked in this size.");
      this.note.replaceChildren();
      this.svg.setAttribute("viewBox", "0 0 1000 10");
      return;
    }
    const bodies = (sewn, name) => draw("g", { class: name },
      sewn.bodies.map(({ matrix, layers }) => draw("g", { transform: `matrix(${matrix.join(" ")})` },
        draw("path", { d: pathText(layers.s), class: "body" }),
        ["f", "d", "g", "i", "n"].filter((k) => layers[k]).map((k) =>
          draw("path", { d: pathText(layers[k]), class: "inside" })))));
    const holds = (sewn, name) => draw("g", { class: name },
      this.holds(sewn).map((cubics) => draw("path", { d: curveText(cubics), class: "holds" })));
    const edges = (sewn, name) => draw("g", { class: name },
      draw("path", { d: curveText(sewn.chain.cubics), class: "edge" }),
      draw("path", { d: curveText(sewn.chain.cubics), class: "walked" }));
    this.still = [bodies(roll.to, "to"), holds(roll.to, "to"), edges(roll.to, "to edges")];
    for (const group of this.still) group.setAttribute("transform", `matrix(${roll.still.join(" ")})`);
    this.rolled = [bodies(roll.sew, "sew"), holds(roll.sew, "sew"), edges(roll.sew, "sew edges")];
    this.marks = draw("g", { class: "marks" });
    this.contact = draw("circle", { class: "contact" });
    for (let k = 0; k < 3; k++) this.svg.append(this.still[k], this.rolled[k]);
    this.svg.append(this.marks, this.contact);
    this.slider.max = Math.ceil(roll.most(this.eased) / 100);
    const [x0, y0, x1, y1] = roll.box(), pad = 0.2 * (x1 - x0);
    this.whole = [x0 - pad, y0 - pad, x1 - x0 + 2 * pad, y1 - y0 + 2 * pad];
    const names = [pieceNames(roll.side.ways[0]), pieceNames(roll.side.ways[1])];
    this.note.replaceChildren(make("b", { class: "of-sew" }, names[0]), " rolls along ",
      make("b", { class: "of-to" }, names[1]),
      roll.turned ? ", turned over" : "", ". The heavy line is walked; the broad band holds ease.");
    if (this.u === null) this.u = roll.made.bounds.length > 2 ? roll.made.bounds[1].to
      : roll.most(false) / 3;
    this.ready = true;
    this.go(Math.min(this.u, roll.most(this.eased)));
  }
  holds(sewn) { // the stretches of a side that are longer than their partners
    const sign = sewn === this.roll.sew ? 1 : -1, key = sign > 0 ? "sew" : "to";
    return stretchesOf(this.roll.made).filter(({ ease }) => sign * ease > PLAIN)
      .map(({ a, b }) => sewn.chain.part(this.roll.own(sewn, a[key]), this.roll.own(sewn, b[key])))
      .filter((cubics) => cubics.length);
  }
  go(u) {
    if (!this.ready && !this.roll.ok) return;
    this.u = Math.min(Math.max(u, 0), this.roll.most(this.eased));
    this.slider.value = Math.round(this.u / 100);
    this.show();
  }
  show() {
    if (!this.ready) return;
    const roll = this.roll, at = roll.move(this.u, this.eased);
    const wide = this.svg.clientWidth || 600, tall = this.svg.clientHeight || 400;
    let box = this.whole;
    if (this.close) {
      const high = CLOSE * tall / wide;
      box = [at.x - CLOSE / 2, at.y - high / 2, CLOSE, high];
    }
    const pixel = this.pixel = Math.max(box[2] / wide, box[3] / tall);
    this.svg.setAttribute("viewBox", box.map(Math.round).join(" "));
    this.svg.style.setProperty("--px", pixel);
    for (const group of this.rolled) group.setAttribute("transform", `matrix(${at.rolled.join(" ")})`);
    const walk = ([, , group], sewn, s) => group.querySelector(".walked")
      .setAttribute("stroke-dasharray", `${roll.own(sewn, s)} 1e7`);
    walk(this.rolled, roll.sew, at.s);
    walk(this.still, roll.to, at.t);
    fill(this.contact, { cx: at.x, cy: at.y, r: 5 * pixel }, []);
    this.svg.dataset.s = at.s; this.svg.dataset.t = at.t; // what is walked on each side
    this.mark(at, pixel);
    this.say(at);
  }
  mark(at, pixel) { // notches that must meet: a stroke into each piece, its number at the end
    const { roll } = this, out = [];
    for (const bound of roll.made.bounds) {
      if (!bound.pair) continue;
      const off = roll.made.off.has(bound.pair) ? " off" : "";
      for (const [sewn, s, matrix, name] of [[roll.sew, bound.sew, at.rolled, "sew"],
        [roll.to, bound.to, roll.still, "to"]]) {
        const p = sewn.at(roll.own(sewn, s)), n = sewn.inside(p);
        const [x, y, u, v] = under(matrix, [p.x, p.y, p.x + n.x * 13 * pixel, p.y + n.y * 13 * pixel,
          0, 0, 0, 0]);
        const cx = u + (u - x) * 0.75, cy = v + (v - y) * 0.75;
        out.push(draw("g", { class: `pair ${name}${off}` },
          draw("path", { d: `M${x} ${y}L${u} ${v}` }),
          draw("circle", { cx, cy, r: 9.5 * pixel }),
          draw("text", { x: cx, y: cy + 4.3 * pixel, "text-anchor": "middle" }, letterOf(bound.pair))));
      }
    }
    const [x, y, w, h] = this.svg.getAttribute("viewBox").split(" ").map(Number);
    const wide = this.svg.clientWidth * pixel, tall = this.svg.clientHeight * pixel;
    const left = x + w / 2 - wide / 2 + 12 * pixel, top = y + h / 2 - tall / 2;
    [[roll.sew, 0, "sew"], [roll.to, 1, "to"]].forEach(([sewn, side, name]) => out.push(
      draw("text", { x: left, y: top + (sewn.inward > 0 ? 24 * pixel : tall - 12 * pixel),
        class: `piece ${name}` }, short(pieceNames(roll.side.ways[side])))));
    this.marks.replaceChildren(...out);
  }
  say(at) {
    const { roll } = this, { made } = roll, parts = [];
    const names = [pieceNames(roll.side.ways[0]), pieceNames(roll.side.ways[1])];
    parts.push("Walked ", length(at.s / 100, "a"), " of ", make("bdi", {}, names[0]));
    if (this.eased) parts.push(" on ", length(at.t / 100, "a"), " of ", make("bdi", {}, names[1]));
    parts.push(". ");
    const here = made.bounds.find((b) => b.pair && (Math.abs(b.to - at.t) < 60 || Math.abs(b.sew - at.s) < 60));
    if (here) {
      const gap = (here.sew - at.s) - (here.to - at.t);
      parts.push("Notch ", letterOf(here.pair), ", ", make("bdi", {}, roll.side.pairs[here.pair - 1][0]),
        ": ");
      if (made.off.has(here.pair))
        parts.push(make("b", { class: "over" }, "misses by ", length(Math.abs(made.off.get(here.pair)), "b")), ". ");
      else if (this.eased || Math.abs(gap) < PLAIN) parts.push("meets. ");
      else parts.push("so far ", length(Math.abs(gap) / 100, "b"),
        gap > 0 ? " of ease to take up. " : " too short. ");
    }
    const left = made.sew - made.to;
    if (at.t >= roll.most(this.eased) - 60) {
      if (this.eased || Math.abs(left) <= PLAIN) parts.push("Both ends are reached together.");
      else parts.push(make("b", {}, length(Math.abs(left) / 100, "b")), " of ",
        make("bdi", {}, names[left > 0 ? 0 : 1]), " is left over: ",
        left > 0 ? "that is the ease." : "the other edge is too short by that.");
    }
    this.told.replaceChildren(...parts);
    this.slider.setAttribute("aria-valuetext",
      `${say.a(at.t / 100)} of ${say.a(roll.most(this.eased) / 100)}`);
  }
  hop(by) { // to the next place where a notch of either side is reached, or to an end
    const { made } = this.roll, most = this.roll.most(this.eased);
    const stops = new Set([0, most]);
    for (const b of made.bounds) {
      if (b.to <= most) stops.add(b.to);
      if (!this.eased && b.sew <= most) stops.add(b.sew);
    }
    const sorted = [...stops].sort((a, b) => a - b);
    const next = by > 0 ? sorted.find((s) => s > this.u + 30)
      : sorted.reverse().find((s) => s < this.u - 30);
    this.stop();
    this.go(next === undefined ? (by > 0 ? most : 0) : next);
  }
  play() {
    if (this.playing) return this.stop();
    const most = this.roll.most(this.eased), from = this.u >= most - 100 ? 0 : this.u;
    let began = null;
    const frame = (time) => {
      began ??= time;
      const u = from + most * (time - began) / 6000;
      this.go(u);
      if (u >= most) this.stop(); else this.playing = requestAnimationFrame(frame);
    };
    this.runs.textContent = "Stop";
    this.playing = requestAnimationFrame(frame);
  }
  stop() {
    cancelAnimationFrame(this.playing);
    this.playing = 0;
    this.runs.textContent = "Roll";
  }
}
