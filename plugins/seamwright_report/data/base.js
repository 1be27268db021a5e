// What all other parts use: the data, the state of the page, elements. Text from a file only ever
// becomes a text node.
const data = JSON.parse(document.getElementById("data").textContent);
const NS = document.querySelector("svg").namespaceURI;
const now = { z: data.base, unit: data.unit, combs: false };
const ears = { size: [], unit: [], combs: [] };
const on = (what, does) => ears[what].push(does);
const tell = (what) => ears[what].forEach((does) => does());
const all = (selector, within = document) => [...within.querySelectorAll(selector)];

function fill(node, attributes, children) {
  for (const [key, value] of Object.entries(attributes || {}))
    if (value !== null && value !== undefined && value !== false)
      node.setAttribute(key, value === true ? "" : value);
  node.append(...children.flat().filter((child) => child !== null && child !== undefined));
  return node;
}
const make = (tag, attributes, ...children) =>
  fill(document.createElement(tag), attributes, children);
const draw = (tag, attributes, ...children) =>
  fill(document.createElementNS(NS, tag), attributes, children);
