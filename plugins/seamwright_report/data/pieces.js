// Pieces before and after in the size that is chosen, drawn when they come into sight: the same
// elements as stand in the page for the first size (pictures.py).
const LAYERS = ["c", "i", "f", "d", "g", "h", "n", "s"];

function drawnPiece(before, after, tag, hatch) {
  const was = before && before.s, is = after && after.s, out = [];
  const path = (strokes, name, more) => draw("path", { d: pathText(strokes), class: name, ...more });
  const lost = { style: `fill:url(#h${hatch})` };
  if (was && is && !same(was, is)) {
    out.push(
      draw("clipPath", { id: tag }, draw("path", { d: pathText(was) })),
      path(was, "lost", lost),
      path(is, "got"),
      path(is, "kept", { "clip-path": `url(#${tag})` }));
  } else if (was && !after) out.push(path(was, "lost", lost));
  else if (is) out.push(path(is, before ? "kept" : "got"));
  for (const kind of LAYERS) {
    const x = before && before[kind], y = after && after[kind];
    if (x && !same(x, y)) out.push(path(x, `l${kind} was`));
    if (y) out.push(path(y, same(y, x) ? `l${kind}` : `l${kind} now`));
  }
  return out;
}
// Round what moved, where that is less than half of the picture; null otherwise.
function movedBox(before, after) {
  if (!before || !after) return null;
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const kind of LAYERS) {
    const x = before[kind], y = after[kind];
    if (!x && !y || same(x, y)) continue;
    for (const [one, other] of [[x, y], [y, x]]) {
      const there = new Set();
      for (let i = 0; other && i < other.points.length; i += 2)
        there.add(`${other.points[i]},${other.points[i + 1]}`);
      for (let i = 0; one && i < one.points.length; i += 2) {
        const [u, v] = [one.points[i], one.points[i + 1]];
        if (there.has(`${u},${v}`)) continue;
        box[0] = Math.min(box[0], u); box[1] = Math.min(box[1], v);
        box[2] = Math.max(box[2], u); box[3] = Math.max(box[3], v);
      }
    }
  }
  return box[2] >= box[0] ? box : null;
}
function closeBox(svg) {
  const { p, a, b } = svg.dataset;
  const box = movedBox(layersAt(p, a, now.z), layersAt(p, b, now.z));
  if (!box) return null;
  const [, , w, h] = svg.dataset.v.split(" ").map(Number);
  const pad = Math.max(0.08 * Math.max(box[2] - box[0], box[3] - box[1]), 800);
  const least = 0.25 * Math.max(w, h); // no closer than four times
  const wide = Math.max(box[2] - box[0] + 2 * pad, least);
  const high = Math.max(box[3] - box[1] + 2 * pad, least);
  const out = [(box[0] + box[2] - wide) / 2, (box[1] + box[3] - high) / 2, wide, high];
  const across = svg.clientWidth || 1, down = svg.clientHeight || 1;
  const scale = (x, y) => Math.max(x / across, y / down);
  return scale(wide, high) < 0.8 * scale(w, h) ? out : null;
}
function offerCloser(svg) { // a button under a picture in which only a part moved
  svg.dataset.v ||= svg.getAttribute("viewBox");
  if (!closeBox(svg)) return;
  const name = svg.parentNode.querySelector("figcaption b").textContent;
  const look = make("button", { type: "button", "aria-pressed": "false",
    "aria-label": `${name}: close to what moved` }, "Closer");
  look.addEventListener("click", () => {
    svg.dataset.close = svg.dataset.close ? "" : "1";
    look.setAttribute("aria-pressed", svg.dataset.close ? "true" : "false");
    redraw(svg);
  });
  svg.after(look);
}
const stale = new Set();
function redraw(svg) {
  stale.delete(svg);
  const { p, a, b, h, k } = svg.dataset;
  const before = layersAt(p, a, now.z), after = layersAt(p, b, now.z);
  svg.querySelector("g.lines").replaceChildren(...drawnPiece(before, after, k, h));
  all("path.comb", svg).forEach((old) => old.remove());
  svg.dataset.v ||= svg.getAttribute("viewBox");
  const close = svg.dataset.close && closeBox(svg);
  svg.setAttribute("viewBox", close ? close.join(" ") : svg.dataset.v);
  if (now.combs) {
    if (before && after && !same(before.s, after.s))
      svg.append(draw("path", { d: combText(before.s), class: "comb comb-before" }));
    const shape = after || before;
    if (shape) svg.append(draw("path", { d: combText(shape.s), class: "comb comb-after" }));
    if (!close) widen(svg);
  }
  const shown = svg.parentNode.querySelector("figcaption .shown");
  if (shown) shown.textContent = data.sizes[now.z] + (before || after ? "" : " (not in this size)");
}
function widen(svg) { // so that no tooth is cut off
  const [x, y, w, h] = svg.dataset.v.split(" ").map(Number);
  let box = [x, y, x + w, y + h];
  for (const path of all("path.comb", svg)) {
    const own = path.getBBox();
    box = [Math.min(box[0], own.x), Math.min(box[1], own.y),
      Math.max(box[2], own.x + own.width), Math.max(box[3], own.y + own.height)];
  }
  svg.setAttribute("viewBox", [box[0], box[1], box[2] - box[0], box[3] - box[1]].join(" "));
}
const looked = new Set();
const sight = new IntersectionObserver((seen) => {
  for (const { target, isIntersecting } of seen) {
    if (!isIntersecting) continue;
    if (stale.has(target)) redraw(target);
    if (looked.has(target)) continue;
    looked.add(target);
    if (target.dataset.k) offerCloser(target);
  }
}, { rootMargin: "300px" });
function outdate() {
  for (const svg of all("svg.pic")) {
    stale.add(svg);
    sight.unobserve(svg); // observed anew, it is looked at anew
    sight.observe(svg);
  }
}
on("size", outdate);
on("combs", outdate);
all("svg.pic").forEach((svg) => sight.observe(svg));
const finish = () => [...stale].forEach(redraw);
