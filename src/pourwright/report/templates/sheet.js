"use strict";
(() => {
const told = JSON.parse(document.body.dataset.bench);
const key = document.body.dataset.store;
let memory = {};
// What is typed is kept by the browser; where it keeps nothing for files, the tab's own name does until it is closed.
function load() {
  for (const read of [() => localStorage.getItem(key), () => window.name.startsWith(key) && window.name.slice(key.length)])
    try { const text = read(); if (text) return JSON.parse(text); } catch (error) { continue; }
  return {};
}
function keep() {
  const text = JSON.stringify(memory);
  try { localStorage.setItem(key, text); } catch (error) { window.name = key + text; return; }
  if (window.name.startsWith(key)) window.name = "";
}
function of(pour) { return memory[pour] || (memory[pour] = {}); }
const two = (n) => String(n).padStart(2, "0");
const wall = (ms) => { const at = new Date(ms); return two(at.getHours()) + ":" + two(at.getMinutes()); };
const span = (s) => (s >= 3600 ? Math.floor(s / 3600) + ":" + two(Math.floor(s / 60) % 60) : Math.floor(s / 60)) + ":" + two(Math.floor(s) % 60);
const cards = [...document.querySelectorAll("article.pour[data-marks]")];
function clock(card) {
  const began = of(card.dataset.pour).began, run = card.querySelector(".run"), undo = card.querySelector(".undo");
  undo.hidden = !began;
  if (!began) { run.textContent = ""; return; }
  const now = (Date.now() - began) / 1000;
  const next = JSON.parse(card.dataset.marks).find((mark) => mark[1] > now);
  run.textContent = span(Math.max(now, 0)) + (next ? "  " + next[0] + " " + span(next[1]) : "  risen");
}
function waits(card) {
  const first = of(card.dataset.waitFrom).began, box = card.querySelector(".next");
  if (!box || !card.dataset.wait) return;
  const end = first ? first + 1000 * card.dataset.wait : 0;
  box.textContent = first ? wall(end) + (Date.now() < end ? ", in " + span((end - Date.now()) / 1000) : ", now") : "";
}
function tick() { cards.forEach((card) => { clock(card); waits(card); }); }
function typed(field) { const value = field.value.replace(/["'\\$`\r\n]/g, " ").trim(); return value; }
function figure(field) {
  const value = typed(field);
  return value && field.dataset.unit && /^[-+]?\d+([.,]\d+)?$/.test(value) ? value.replace(",", ".") + " " + field.dataset.unit : value;
}
function entry(card) {
  const out = { pour: card.dataset.pour }, fields = [...card.querySelectorAll("input[data-key]")];
  if (fields.every((field) => !field.value.trim())) return null;
  for (const field of fields) {
    const value = figure(field);
    if (!value) continue;
    if (field.dataset.key.startsWith("pin ")) { (out.pins = out.pins || {})[field.dataset.key.slice(4)] = value; continue; }
    if (field.dataset.key === "full") { if (/^(y|full$)/i.test(value)) out.full = true; else out.note = "full at the vents: " + value; }
    else out[field.dataset.key] = value;
  }
  const first = cards.find((one) => one.dataset.cup && one !== card && one.dataset.pour === card.dataset.cup);
  if (first) for (const field of first.querySelectorAll("input[data-key=a], input[data-key=b]")) if (figure(field)) out[field.dataset.key] = figure(field);
  if (!out.a && !out.b) out.as_planned = true;
  if (!out.dip && !out.reached && fields.some((field) => /^(full|dip|reached)$/.test(field.dataset.key))) out.full = true;
  return out;
}
function line(one) {
  const words = ["pourwright record PLAN"];
  const { pins = {}, ...plain } = one;
  for (const [name, value] of Object.entries(pins)) words.push('--pin "' + name + "=" + value + '"');
  for (const [name, value] of Object.entries(plain)) words.push("--" + name.replace("_", "-") + (value === true ? "" : ' "' + value + '"'));
  return words.join(" ");
}
function show() {
  const made = cards.map(entry).filter(Boolean);
  const area = document.querySelector(".lines"), save = document.querySelector(".save");
  area.value = made.map(line).join("\n");
  area.rows = Math.max(2, 2 * made.length);
  save.setAttribute("aria-disabled", String(!made.length));
  save.href = "data:application/json;charset=utf-8," + encodeURIComponent(JSON.stringify({ ...told, pours: made }, null, 1));
}
memory = load();
document.body.classList.add("live");
for (const card of cards) {
  const pour = card.dataset.pour;
  for (const field of card.querySelectorAll("input[data-key]")) {
    field.value = of(pour)[field.dataset.key] || "";
    field.addEventListener("input", () => { of(pour)[field.dataset.key] = field.value; keep(); show(); });
  }
  // Pours out of one cup begin together.
  const mates = card.dataset.cup ? cards.filter((one) => one.dataset.cup === card.dataset.cup) : [card];
  const at = (one) => one.querySelector("input[data-key=at]");
  card.querySelector(".mix").addEventListener("click", () => {
    const now = Date.now();
    if (of(pour).began) return;
    for (const one of mates) { const mine = of(one.dataset.pour); mine.began = now; mine.at = wall(now); at(one).value = mine.at; }
    keep(); tick(); show();
  });
  card.querySelector(".undo").addEventListener("click", () => {
    for (const one of mates) { const mine = of(one.dataset.pour); delete mine.began; delete mine.at; at(one).value = ""; }
    keep(); tick(); show();
  });
}
document.querySelector(".copy").addEventListener("click", () => {
  const area = document.querySelector(".lines");
  area.focus(); area.select();
  try { document.execCommand("copy"); } catch (error) { return; }
});
tick(); show();
setInterval(tick, 1000);
})();
