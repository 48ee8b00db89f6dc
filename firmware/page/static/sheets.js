// What opens over the page: views, everything else, the slate of a mark, the journal.

import { ask, list, made, refusal, say, send, set, showIndex } from "/page.js";

const by = (id) => document.getElementById(id);
const FIELDS = ["scene", "shot", "take", "camera", "notes"];

function field(name) {
  return by("slate-form").elements[name];
}

function button(words, key, act) {
  const one = made("button", words, { key });
  one.type = "button";
  one.addEventListener("click", act);
  return one;
}

export function openSheet(name, section = "") {
  const dialog = by(name);
  if (dialog.open) {
    return;
  }
  dialog.showModal();
  dialog.scrollTop = 0;
  if (section) {
    dialog.querySelector(`[data-section="${CSS.escape(section)}"]`)?.scrollIntoView();
  }
  if (name === "views") {
    showIndex(true);
  } else if (name === "rest") {
    showPhones();
  } else if (name === "slate") {
    fillSlate();
  } else if (name === "journal") {
    showJournal();
  }
}

// Everything that can be asked for now, from the lists that the unit makes of its rail.
export function sheetsOf(moment) {
  list(by("view-list"), moment.views.map((view) => [view.name, view.name === moment.view]), (one) => {
    const made_one = button(one[0], one[0], () => {
      send({ do: "view", name: one[0] });
      by("views").close();
    });
    made_one.append(document.createElement("small"));
    made_one.setAttribute("aria-current", one[1]);
    return made_one;
  });
  by("view-list").querySelectorAll("small").forEach((small, at) => {
    set(small, moment.views[at].figure || " ");
  });
  list(by("sheets"), moment.sheets, (sheet) => {
    const part = document.createElement("section");
    part.dataset.section = sheet.title;
    part.append(made("h3", sheet.title));
    const grid = document.createElement("div");
    grid.className = "grid";
    grid.append(...sheet.entries.map((entry) => button(entry.label, entry.press, () => {
      if (entry.press === "mark") {
        by("rest").close();
        openSheet("slate");
      } else {
        send({ do: "press", press: entry.press });
      }
    })));
    part.append(grid);
    return part;
  });
  list(by("profiles"), moment.profiles.map((title, at) => [title, at, at === moment.profile]), (one) => {
    const made_one = button(one[0], `profile ${one[1]}`, () => send({ do: "profile", number: one[1] }));
    made_one.setAttribute("aria-pressed", one[2]);
    return made_one;
  });
}

// What somebody has typed meanwhile stays: the unit may take its time to answer.
const typed = new Set();

async function fillSlate() {
  typed.clear();
  by("everyone").checked = false;
  set(by("slate-said"), "");
  const answer = await ask("/slate");
  if (!answer.ok) {
    set(by("slate-said"), await refusal(answer));
    return;
  }
  const slate = await answer.json();
  for (const name of FIELDS) {
    if (!typed.has(name)) {
      field(name).value = slate[name];
    }
  }
}

function nextTake() {
  typed.add("take");
  const found = field("take").value.match(/^(.*?)(\d+)(\D*)$/);
  field("take").value = found === null ? "1" : found[1] + (Number(found[2]) + 1) + found[3];
}

function mark(event) {
  event.preventDefault();
  const slate = Object.fromEntries(FIELDS.map((name) => [name, field(name).value]));
  if (send({ do: "mark", slate, all: by("everyone").checked })) {
    by("slate").close();
  } else {
    set(by("slate-said"), "The unit does not answer: nothing was marked.");
  }
}

async function showPhones() {
  const answer = await ask("/phones");
  if (!answer.ok) {
    return;
  }
  list(by("phone-list"), await answer.json(), (phone) => {
    const line = document.createElement("li");
    const since = phone.since ? `, since ${phone.since}` : "";
    line.append(made("span", `${phone.name}${phone.own ? " (this one)" : ""}${since}`));
    line.append(button(`Forget ${phone.name}`, `forget ${phone.number}`, async () => {
      const done = await ask("/phones/forget", { number: phone.number });
      say(done.ok ? `${phone.name} is forgotten` : await refusal(done));
      showPhones();
    }));
    return line;
  });
}

async function showJournal() {
  set(by("journal-said"), "Reading the journal …");
  const answer = await ask("/journal");
  if (!answer.ok) {
    set(by("journal-said"), await refusal(answer));
    return;
  }
  const rows = await answer.json();
  set(by("journal-said"), rows.length ? "" : "Nothing was marked yet.");
  const days = [...new Set(rows.map((row) => row.day).filter(Boolean))];
  list(by("day"), ["", ...days], (day) => {
    const option = made("option", day || "all days");
    option.value = day;
    return option;
  });
  list(by("marks"), rows, (row) => {
    const line = made("li", `#${row.number}  ${row.words}`);
    const said = [row.day ?? "day unknown", row.time, row.timecode, row.slate, row.view, row.notes];
    line.append(document.createElement("br"), made("small", said.filter(Boolean).join(" · ")));
    return line;
  });
}

async function save(ending) {
  const day = by("day").value;
  set(by("journal-said"), "The unit makes the file …");
  const answer = await ask(`/journal.${ending}${day ? `?day=${day}` : ""}`);
  if (!answer.ok) {
    set(by("journal-said"), await refusal(answer));
    return;
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await answer.blob());
  link.download = `midgrey-${day || "journal"}.${ending}`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  set(by("journal-said"), `${link.download} is saved.`);
}

async function bring(event) {
  const file = event.target.files[0];
  if (!file) {
    return;
  }
  const kinds = { cube: "tables", update: "versions" };
  const place = kinds[file.name.split(".").pop().toLowerCase()] || "profiles";
  const name = file.name.replace(/\.toml$/i, "");
  const before = place === "versions" ? await toldOfVersions() : "";
  set(by("profile-said"), place === "versions" ? `${name} is on its way; stay here.` : "");
  const answer = await ask(`/${place}/${encodeURIComponent(name)}`, file);
  const words = answer.ok ? (await answer.json()).said : await refusal(answer);
  set(by("profile-said"), words);
  event.target.value = "";
  if (answer.ok && place === "versions") {
    await followVersion(before);
  }
}

async function toldOfVersions() {
  const answer = await ask("/versions");
  return answer.ok ? (await answer.json()).said : "";
}

// The unit checks a version for minutes, and starts anew if it holds: what it says of it is asked for.
async function followVersion(before) {
  for (let times = 0; times < 240; times += 1) {
    await new Promise((done) => setTimeout(done, 5000));
    const said = await toldOfVersions().catch(() => "");
    if (said && said !== before) {
      set(by("profile-said"), said);
      return;
    }
  }
}

export function ready() {
  for (const dialog of document.querySelectorAll("dialog")) {
    dialog.querySelectorAll(".close").forEach((each) => {
      each.addEventListener("click", () => dialog.close());
    });
    dialog.addEventListener("close", () => {
      if (dialog.id === "views") {
        showIndex(false);
      }
    });
  }
  by("slate-form").addEventListener("submit", mark);
  by("slate-form").addEventListener("input", (event) => typed.add(event.target.name));
  by("next-take").addEventListener("click", nextTake);
  by("open-journal").addEventListener("click", () => {
    by("rest").close();
    openSheet("journal");
  });
  by("open-units").addEventListener("click", () => {
    by("rest").close();
    openSheet("units");
  });
  by("mark-all").addEventListener("click", () => {
    by("units").close();
    openSheet("slate");
    by("everyone").checked = true;
  });
  by("get-csv").addEventListener("click", () => save("csv"));
  by("get-html").addEventListener("click", () => save("html"));
  by("profile-file").addEventListener("change", bring);
}
