// Lengths said anew in another unit, word for word as the page was written (say.py).
const UNITS = { mm: 1, cm: 10, in: 25.4 };
const MISSING = "–";
const SIXTEENTH = 25.4 / 16;

function even(x) { // the nearest whole number, halves to the even one
  const r = Math.round(x);
  return Math.abs(x % 1) === 0.5 && r % 2 ? r - 1 : r;
}
function fix(x, digits) {
  if (Number.isInteger(x * 8)) { // only such numbers can lie exactly between two
    const ten = 10 ** digits;
    x = even(x * ten) / ten;
  }
  const text = x.toFixed(digits);
  return Number(text) === 0 ? text.replace("-", "") : text;
}
const trim = (text) => text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text;

function sixteenths(mm) {
  const count = even(Math.abs(mm) * 16 / 25.4);
  if (count === 0) return "0";
  return (mm < 0 ? "−" : "") + mixed(count);
}
function mixed(count) {
  let top = count % 16, bottom = 16;
  const words = count >= 16 ? [String(Math.floor(count / 16))] : [];
  while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
  if (top) words.push(`${top}/${bottom}`);
  return words.join(" ");
}
function twoDigits(size) {
  let text = "";
  for (let digits = 2; digits < 7; digits++) {
    text = fix(size, digits);
    if (text.replace(".", "").replace(/^0+/, "").length >= 2) break;
  }
  return text;
}
function inches(size, sign) {
  const count = even(size / SIXTEENTH), rest = size - count * 25.4 / 16;
  if (count === 0) return `${trim(fix(size, 2))} mm`;
  const out = `${mixed(count)} in`;
  if (Math.abs(rest) < 0.05) return out;
  const plus = (rest > 0) !== (sign === "-");
  return `${out} ${plus ? "+" : "-"} ${trim(fix(Math.abs(rest), 1))} mm`;
}
const say = {
  f(mm) {
    const unit = now.unit, sign = mm < 0 ? "-" : "", size = Math.abs(mm);
    if (size < 0.1) {
      const small = trim(twoDigits(size));
      return small === "0" ? `0 ${unit}` : `${sign}${small} mm`;
    }
    if (unit === "mm") return `${sign}${trim(fix(size, 2))} mm`;
    if (unit === "cm") return `${sign}${trim(fix(size / 10, 2))} cm`;
    return sign + inches(size, sign);
  },
  b(mm) {
    const told = sixteenths(mm), size = Math.abs(mm);
    if (now.unit !== "in" || told === "0") return say.f(mm);
    const exact = Math.abs(size - even(size * 16 / 25.4) * 25.4 / 16) < 0.05;
    return exact ? `${told} in` : `${told} in (${fix(mm, 1)} mm)`;
  },
  a(mm) {
    const step = now.unit === "in" ? SIXTEENTH : 1;
    return say.f(even(mm / step) * step);
  },
  s(mm) {
    if (now.unit === "in") return sixteenths(mm);
    return now.unit === "mm" ? fix(mm, 1) : fix(mm / 10, 2);
  },
  w: () => ({ in: "inches", mm: "mm", cm: "cm" })[now.unit],
};
// A length in a text: an element that is said anew when the unit changes.
function length(mm, manner = "s") {
  if (mm === null || !Number.isFinite(mm)) return MISSING;
  return make("data", { value: mm, class: manner === "s" ? null : manner }, say[manner](mm));
}

function ticks(low, high, most) {
  const unit = UNITS[now.unit], span = (high - low) / unit;
  let steps = [1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024, 2048];
  if (now.unit !== "in") {
    const ten = 10 ** Math.floor(Math.log10(span / most));
    steps = [1, 2, 5, 10, 20].map((k) => k * ten);
  }
  const step = steps.find((s) => span / s <= most) || span;
  const out = [];
  for (let k = Math.ceil(low / unit / step); k <= Math.floor(high / unit / step); k++)
    out.push(k * step * unit);
  return out;
}
function retell() {
  for (const node of all("data[value]"))
    node.textContent = say[node.className || "s"](Number(node.value));
  for (const node of all("tspan[data-mm]"))
    node.textContent = say[node.getAttribute("class")](Number(node.dataset.mm));
  for (const plot of all(".plot[data-low]")) {
    const low = Number(plot.dataset.low), high = Number(plot.dataset.high);
    const svg = plot.querySelector("svg"), axis = plot.querySelector(".axis");
    const at = (mm) => `${(100 * (mm - low) / (high - low)).toFixed(2)}%`;
    all("line.tick, line.zero", svg).forEach((old) => old.remove());
    axis.replaceChildren();
    for (const mm of ticks(low, high, 6)) {
      const x = at(mm), name = mm === 0 ? "zero" : "tick";
      svg.querySelector("rect").after(
        draw("line", { x1: x, x2: x, y1: 0, y2: svg.getAttribute("height"), class: name }));
      const label = make("span", {}, length(mm));
      label.style.left = x;
      axis.append(label);
    }
  }
}
on("unit", retell);
