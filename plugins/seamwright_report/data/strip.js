// Both sides of a seam drawn straight, one over the other (strip.py draws the first size).
const TOP = 22, BOTTOM = 88, PLAIN = 50, MISS = 150;
const known = (v) => v !== null && v !== undefined;

function stripOf(side, z) { // bounds: places where both sides are held together
  const sew = side.sew[z], to = side.to[z];
  if (!known(sew) || !known(to)) return null;
  const bounds = [{ sew: 0, to: 0, pair: 0 }], off = new Map();
  side.pairs.forEach(([, , a, b, miss], i) => {
    if (!known(a[z]) || !known(b[z])) return;
    bounds.push({ sew: a[z], to: b[z], pair: i + 1 });
    if (known(miss[z]) && Math.abs(miss[z]) > MISS) off.set(i + 1, miss[z] / 100);
  });
  bounds.push({ sew, to, pair: 0 });
  return { sew, to, bounds, off };
}
function stretchesOf(made) {
  return made.bounds.slice(1).map((b, i) => {
    const a = made.bounds[i];
    return { a, b, ease: (b.sew - a.sew) - (b.to - a.to) };
  });
}
function wave(x0, x1, y, ease, long) {
  if (ease <= PLAIN || long < 1 || x1 - x0 < 4) return `M${x0} ${y}L${x1} ${y}`;
  const high = Math.min(Math.max(120 * ease / long, 4), 18);
  const count = Math.max(2, 2 * Math.round((x1 - x0) / 28)), half = (x1 - x0) / count;
  let out = `M${x0} ${y}`;
  for (let i = 0; i < count; i++) out += `q${half / 2} ${i % 2 ? high : -high} ${half} 0`;
  return out;
}
const letterOf = (pair) => (pair > 26 ? letterOf(Math.floor((pair - 1) / 26)) : "") +
  String.fromCharCode(97 + (pair - 1) % 26);
const pieceNames = (ways) =>
  [...new Set(ways.map((w) => w[0]))].map((p) => p < 0 ? "?" : data.pieces[p].n).join(" + ");

function strip(side, z, when, which) {
  const made = stripOf(side, z);
  if (!made) return null;
  const most = Math.max(made.sew, made.to, 1), on1000 = (v) => 1000 * v / most;
  const bands = [], rails = [], joins = [], words = [];
  const place = (node, x) => { node.style.left = `${x}%`; words.push(node); };
  for (const { a, b, ease } of stretchesOf(made)) {
    const x = [a.sew, b.sew, b.to, a.to].map(on1000);
    const kind = ease > PLAIN ? "more" : ease < -PLAIN ? "less" : "even";
    bands.push(draw("polygon", { class: kind,
      points: `${x[0]},${TOP} ${x[1]},${TOP} ${x[2]},${BOTTOM} ${x[3]},${BOTTOM}` }));
    rails.push(draw("path", { d: wave(x[0], x[1], TOP, ease, b.sew - a.sew), class: "sew" }));
    rails.push(draw("path", { d: wave(x[3], x[2], BOTTOM, -ease, b.to - a.to), class: "to" }));
    if (kind !== "even" || x[1] - x[0] > 60)
      place(make("span", { class: `ease ${kind}` }, ease > PLAIN ? "+" : "",
        kind === "even" ? "0" : length(ease / 100)), (x[0] + x[1] + x[2] + x[3]) / 40);
  }
  const last = [-100, -100];
  for (const bound of made.bounds) {
    if (!bound.pair) continue;
    const x = [on1000(bound.sew), on1000(bound.to)], off = made.off.has(bound.pair) ? " off" : "";
    joins.push(draw("path", { d: `M${x[0]} ${TOP}L${x[1]} ${BOTTOM}`, class: `join${off}` }));
    ["up", "down"].forEach((row, i) => {
      const near = x[i] - last[i] < 70; // too close side by side: at two heights
      last[i] = near ? -100 : x[i];
      place(make("span", { class: `num ${row}${off}${near ? " alt" : ""}` }, letterOf(bound.pair)),
        x[i] / 10);
    });
  }
  const picture = draw("svg", { viewBox: "0 0 1000 110", preserveAspectRatio: "none" }, bands, joins, rails);
  const row = (name, ways, long) => make("span", { class: `side ${name}` },
    make("bdi", {}, pieceNames(ways)), " ", length(long / 100));
  return make("div", { class: when ? "strip" : "strip one", "data-side": which },
    when ? make("span", { class: "when" }, when) : null,
    row("up", side.ways[0], made.sew),
    make("div", { class: "track", "aria-hidden": "true" }, picture, words),
    row("down", side.ways[1], made.to));
}
function pairList(side, z) {
  const made = stripOf(side, z);
  if (!made || !side.pairs.length) return null;
  const there = new Set(made.bounds.map((b) => b.pair));
  const bdi = (text) => make("bdi", {}, text);
  return make("ol", { class: "pairs", type: "a" }, side.pairs.map(([a, b], i) => {
    const names = a === b ? [bdi(a)] : [bdi(a), " and ", bdi(b)];
    if (!there.has(i + 1)) return make("li", { class: "soft" }, names, " not in this size");
    if (!made.off.has(i + 1)) return make("li", {}, names, a === b ? " meets" : " meet");
    const by = length(Math.abs(made.off.get(i + 1)), "b");
    return make("li", { class: "off" }, names, make("b", {}, " miss one another by ", by));
  }));
}
function stretchTable(seam, z) {
  const made = stripOf(seam.a, z);
  if (!made) return null;
  let old = seam.b && stripOf(seam.b, z);
  if (old && old.bounds.length !== made.bounds.length) old = null;
  const names = made.bounds.map((b, i) =>
    b.pair ? seam.a.pairs[b.pair - 1][0] : seam.ends[i ? 1 : 0]);
  const heads = ["stretch", "long", ...(old ? ["ease before", "ease now"] : ["ease"])];
  const cell = (...inside) => make("td", { class: "n" }, ...inside);
  const before = old && stretchesOf(old);
  return make("table", { class: "small stretches" },
    make("thead", {}, make("tr", {}, heads.map((h, i) =>
      make("th", { scope: "col", class: i ? "n" : null }, h)))),
    make("tbody", {}, stretchesOf(made).map(({ a, b, ease }, i) => make("tr", {},
      make("th", { scope: "row" }, make("bdi", {}, names[i]), " to ", make("bdi", {}, names[i + 1])),
      cell(length((b.to - a.to) / 100)),
      before ? cell(length(before[i].ease / 100)) : null,
      cell(make("b", {}, length(ease / 100)))))));
}
const VERDICTS = { o: ["▲too long", "over"], u: ["▼too short", "under"], k: ["within the range", "ok"],
  "-": ["not measured", "none"] };
function restrip(article) { // the whole entry of a seam for the size that is chosen
  const seam = data.seams[article.dataset.s], z = now.z;
  let [words, state] = VERDICTS[seam.v[z]];
  const made = stripOf(seam.a, z);
  if (made && made.off.size) {
    words += ", ◇ notches miss";
    if (state === "ok") state = "over";
  }
  const badge = article.querySelector(".badge");
  badge.textContent = words;
  badge.className = `badge seam-${state}`;
  all(".shown", article).forEach((node) => { node.textContent = data.sizes[z]; });
  const ease = (side) => {
    if (!side || !known(side.sew[z]) || !known(side.to[z])) return null;
    const mm = (side.sew[z] - side.to[z]) / 100;
    return Math.abs(mm) < 0.05 ? 0 : mm;
  };
  const allowed = seam.s
    ? [", allowed ", length(seam.lo / 100, "b"), " to ", length(seam.hi / 100, "b")]
    : [", allowed ", length(seam.hi / 100, "b"), " either way"];
  article.querySelector(".figures").replaceChildren("ease ",
    ...(seam.b && known(ease(seam.b)) ? [length(ease(seam.b), "b"), " → "] : []),
    length(ease(seam.a), "b"), ...allowed);
  article.querySelector(".strips").replaceChildren(...[
    seam.b && strip(seam.b, z, "before", "b"),
    strip(seam.a, z, seam.b ? "now" : "", "a"),
    pairList(seam.a, z)].filter(Boolean));
  const details = article.querySelector("details.walk");
  let wide = details.querySelector(".wide");
  if (!wide) details.append(wide = make("div", { class: "wide" }));
  wide.replaceChildren(stretchTable(seam, z) || "Not in this size.");
}
