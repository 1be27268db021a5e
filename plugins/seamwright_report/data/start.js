// The page's switches.
const stages = new Map();
const articles = all("article.seam");

function openStage(article) {
  if (stages.has(article)) return;
  const number = Number(article.dataset.s);
  stages.set(article, new Stage(article.querySelector(".stage"), data.seams[number], number));
}
for (const article of articles) {
  if (!article.querySelector(".strips").children.length) restrip(article);
  const details = article.querySelector("details.walk");
  details.addEventListener("toggle", () => details.open && openStage(article));
}
on("size", () => {
  articles.forEach(restrip);
  stages.forEach((stage) => stage.build());
});
on("unit", () => stages.forEach((stage) => stage.show()));

for (const input of all("input[name=size]")) input.addEventListener("change", () => {
  now.z = Number(input.value);
  tell("size");
});
for (const input of all("input[name=unit]")) input.addEventListener("change", () => {
  now.unit = input.value;
  tell("unit");
});
const combs = document.getElementById("combs");
combs.addEventListener("change", () => { now.combs = combs.checked; tell("combs"); });
if (document.querySelector("path.comb")) { combs.checked = true; now.combs = true; tell("combs"); }

function toSeam(number) {
  const article = document.getElementById(`seam-${number}`);
  if (!article) return;
  article.querySelector("details.walk").open = true;
}
// A cell of the table leads to its seam in its size.
for (const row of all("table.seams tr[data-s]")) {
  [...row.cells].slice(2).forEach((cell, z) => cell.addEventListener("click", () => {
    const size = document.getElementById(`s${z}`);
    if (size && !size.checked) { size.checked = true; size.dispatchEvent(new Event("change")); }
    const number = Number(row.dataset.s) + 1;
    toSeam(number);
    document.getElementById(`seam-${number}`).scrollIntoView();
  }));
}
function follow() { // a link to a seam opens it
  const found = /^#seam-(\d+)$/.exec(location.hash);
  if (found) toSeam(found[1]);
}
addEventListener("hashchange", follow);
follow();
for (const link of all("a.print")) link.addEventListener("click", () => setTimeout(() => print(), 50));
addEventListener("beforeprint", finish);

// Fields that a browser filled in again after a reload.
const chosen = document.querySelector("input[name=size]:checked");
if (chosen && Number(chosen.value) !== now.z) { now.z = Number(chosen.value); tell("size"); }
const spoken = document.querySelector("input[name=unit]:checked");
if (spoken && spoken.value !== now.unit) { now.unit = spoken.value; tell("unit"); }
if (articles.length) requestAnimationFrame(() => {
  articles[0].querySelector("details.walk").open = true;
});
document.documentElement.classList.add("js");
