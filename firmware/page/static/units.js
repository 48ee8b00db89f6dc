// The wall: every unit of the kit that this one hears, as they stand.

import { list, made, set } from "/page.js";

const by = (id) => document.getElementById(id);

function cell(label, words, tone) {
  const line = document.createElement("div");
  line.append(made("dt", label), made("dd", words, { tone }));
  return line;
}

function age(unit) {
  return unit.age_s === null ? "unknown" : `${unit.age_s.toFixed(1)} s`;
}

// Cells whose words change all the time are filled in apart, so that nothing is said anew that stays.
function frame(unit) {
  const line = document.createElement("li");
  line.dataset.here = unit.here;
  line.append(made("h3", unit.simulated ? `${unit.name} (simulated)` : unit.name));
  line.append(made("p", "", { part: "reading" }));
  const rows = document.createElement("dl");
  rows.append(...unit.rows.map(([label, words, tone]) => cell(label, words, tone)), cell("age", "", ""));
  rows.lastElementChild.querySelector("dd").dataset.part = "age";
  line.append(rows);
  return line;
}

function rowsOf(unit) {
  const rows = [];
  const add = (label, words, tone = "") => words && rows.push([label, words, tone]);
  add("verdict", unit.verdict);
  add("light", unit.watch);
  add("health", unit.here ? unit.health || "fine" : "", unit.health ? "alarm" : "");
  add("battery", unit.here ? unit.battery : "");
  add("on its screen", unit.alert, "alarm");
  add("last mark", unit.last_mark);
  return rows;
}

export function wallOf(units) {
  by("open-units").hidden = units === null;
  by("for-all").hidden = units === null;
  if (units === null || !by("units").open) {
    return;
  }
  set(by("units-said"), units.length ? "" : "No unit is heard yet.");
  const shown = units.map((unit) => ({
    name: unit.unit, here: unit.here, simulated: unit.simulated, rows: rowsOf(unit),
  }));
  list(by("wall"), shown, frame);
  [...by("wall").children].forEach((line, at) => {
    set(line.querySelector('[data-part="reading"]'), units[at].reading);
    set(line.querySelector('[data-part="age"]'), age(units[at]));
  });
}
