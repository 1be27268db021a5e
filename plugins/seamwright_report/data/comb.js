// Curvature combs: a tooth every 6 mm, square to the line, as long as the line is bent (20 mm on a
// circle of 60 mm radius, 60 mm at most); their tips joined.
const TOOTH = 600, REACH = 1.2e7, LONGEST = 6000;

function combText(strokes) {
  let teeth = "", tips = "", pen = "M", end = null;
  for (const c of cubicsOf(strokes)) {
    const long = Math.hypot(c[6] - c[0], c[7] - c[1]);
    if (long < 1) continue;
    if (end && Math.hypot(c[0] - end[0], c[1] - end[1]) > 1) pen = "M";
    const count = Math.max(Math.ceil(long / TOOTH), 2);
    for (let i = 0; i <= count; i++) {
      const t = Math.min(Math.max(i / count, 1e-4), 1 - 1e-4), at = evaluate(c, t);
      const speed = Math.hypot(at.dx, at.dy);
      const bend = speed > 1e-4 ? (at.dx * at.ddy - at.dy * at.ddx) / speed ** 3 : 0;
      const reach = Math.max(-LONGEST, Math.min(LONGEST, -REACH * bend));
      const x = Math.round(at.x), y = Math.round(at.y);
      const u = Math.round(at.x - reach * at.dy / speed), v = Math.round(at.y + reach * at.dx / speed);
      teeth += `M${x} ${y}L${u} ${v}`;
      tips += `${pen}${u} ${v}`;
      pen = "L";
    }
    end = [c[6], c[7]];
  }
  return teeth + tips;
}
