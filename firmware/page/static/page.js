// The page: pairs, keeps the WebSocket open, and shows what comes. Made of what the unit says of
// itself; it knows no view and no instrument.

import { redraw, show } from "/picture.js";
import { openSheet, ready, sheetsOf } from "/sheets.js";
import { wallOf } from "/units.js";

const by = (id) => document.getElementById(id);
const AGAIN_MS = [500, 1000, 2000, 4000];

let socket = null;
let failures = 0;
let indexShown = false;

export function send(message) {
  if (socket !== null && socket.readyState === WebSocket.OPEN) {
    socket.send(JSON.stringify(message));
    return true;
  }
  return false;
}

export async function ask(path, body) {
  const options = body === undefined ? {} : {
    method: "POST",
    body: body instanceof Blob ? body : JSON.stringify(body),
  };
  const answer = await fetch(path, options);
  if (answer.status === 401) {
    begin();
  }
  return answer;
}

export async function refusal(answer) {
  try {
    return (await answer.json()).error ?? "that was not done";
  } catch {
    return "the unit did not answer";
  }
}

export function say(words) {
  set(by("note"), words);
  clearTimeout(say.timer);
  say.timer = setTimeout(() => set(by("note"), ""), 4000);
}

// Nothing is written anew that stays: a screen reader would say it again.
export function set(element, words) {
  if (element.textContent !== words) {
    element.textContent = words;
  }
}

export function list(parent, items, make) {
  const said = JSON.stringify(items);
  if (parent.dataset.said === said) {
    return;
  }
  parent.dataset.said = said;
  const focused = parent.contains(document.activeElement) ? document.activeElement.dataset.key : null;
  parent.replaceChildren(...items.map(make));
  if (focused) {
    parent.querySelector(`[data-key="${CSS.escape(focused)}"]`)?.focus();
  }
}

export function made(tag, words, data = {}) {
  const element = document.createElement(tag);
  element.textContent = words;
  Object.assign(element.dataset, data);
  return element;
}

function showMoment(moment) {
  const face = by("face");
  set(face, moment.face);
  face.dataset.face = moment.face;
  face.dataset.believed = moment.believed;
  set(by("view"), moment.view);
  by("simulated").hidden = !moment.simulated;
  const alert = by("alert");
  set(alert, moment.alert === null ? "" : moment.alert.words);
  alert.dataset.tone = moment.alert === null ? "" : moment.alert.tone;
  set(by("face-words"), moment.believed ? "" : moment.face_words || moment.face);
  by("picture").dataset.old = !moment.believed;
  showReport(moment.report);
  list(by("stripes"), moment.painted ? moment.stripes : [], (stripe) => {
    const share = stripe.share === null ? "" : `: ${(100 * stripe.share).toFixed(1)} %`;
    return made("li", stripe.words + share, { selected: stripe.selected });
  });
  list(by("warnings"), moment.warnings, (each) => made("li", each));
  set(by("source"), `${moment.read_as} · ${moment.feed} · target ${moment.target}`);
  if (moment.note && moment.note !== showMoment.note) {
    say(moment.note);
  }
  showMoment.note = moment.note;
  by("tapping").hidden = !moment.places || !moment.pins_allowed;
  if (by("tapping").hidden) {
    document.querySelector('[name="tap"][value="spot"]').checked = true;
  }
  by("picture").dataset.places = moment.places;
  list(by("rail"), railButtons(moment.rail), railButton);
  sheetsOf(moment);
  wallOf(moment.units);
  redraw(moment);
}

function showReport(report) {
  set(by("heading"), report === null ? "no reading" : report.heading);
  set(by("main"), report === null ? "– –" : report.main);
  set(by("beside"), report === null ? "" : report.beside);
  const words = by("words");
  set(words, report === null ? "" : report.words);
  words.dataset.tone = report === null ? "" : report.tone;
  const rows = report === null ? [] : report.rows;
  list(by("rows"), rows.map(({ label, tone, chosen }) => ({ label, tone, chosen })), (row) => {
    const line = document.createElement("div");
    line.dataset.chosen = row.chosen;
    line.append(made("dt", row.label), made("dd", "", { tone: row.tone }));
    return line;
  });
  by("rows").querySelectorAll("dd").forEach((cell, at) => set(cell, rows[at].value));
  list(by("notes"), report === null ? [] : report.notes, (each) => made("li", each));
}

function railButtons(rail) {
  const row = (choices, kind) => choices.map((choice) => choice && { ...choice, kind });
  return [...row(rail.held, "held"), ...row(rail.pressed, "pressed")];
}

function railButton(choice) {
  if (choice === null) {
    return document.createElement("span");
  }
  const button = made("button", choice.label, { key: choice.label });
  button.type = "button";
  button.className = choice.kind;
  button.addEventListener("click", () => {
    if (choice.opens) {
      openSheet(choice.opens, choice.section);
    } else {
      send({ do: "press", press: choice.press });
    }
  });
  return button;
}

export function showIndex(isShown) {
  indexShown = isShown;
  send({ do: "want", figures: isShown });
}

function tapped(event) {
  if (by("picture").dataset.places !== "true") {
    say("locked");
    return;
  }
  const area = by("picture").getBoundingClientRect();
  const inside = (value) => Math.min(Math.max(value, 0), 1);
  const pin = document.querySelector('[name="tap"]:checked').value === "pin";
  send({
    do: "tap",
    x: inside((event.clientX - area.left) / area.width),
    y: inside((event.clientY - area.top) / area.height),
    pin,
  });
}

async function heard(event) {
  if (typeof event.data === "string") {
    const moment = JSON.parse(event.data);
    if (moment.error !== undefined) {
      say(moment.error);
      return;
    }
    showMoment(moment);
    send({ do: "want", moment: true });
    return;
  }
  // The next one is asked for once this one is drawn: whatever came between is never sent.
  const kind = await show(event.data);
  send(kind === "P" ? { do: "want", picture: true } : { do: "want", counts: true });
}

function open() {
  socket = new WebSocket(`ws://${location.host}/live`);
  socket.binaryType = "arraybuffer";
  socket.addEventListener("open", () => {
    failures = 0;
    send({ do: "want", moment: true, picture: true, counts: true, figures: indexShown });
  });
  socket.addEventListener("message", heard);
  socket.addEventListener("close", (event) => {
    socket = null;
    const face = by("face");
    set(face, "no unit");
    face.dataset.believed = false;
    set(by("face-words"), "The unit does not answer: the picture is old.");
    by("picture").dataset.old = true;
    showReport(null);
    if (event.code === 1008) {
      begin();
      return;
    }
    setTimeout(begin, AGAIN_MS[Math.min(failures, AGAIN_MS.length - 1)]);
    failures += 1;
  });
}

async function begin() {
  let me;
  try {
    me = await (await fetch("/me")).json();
  } catch {
    setTimeout(begin, AGAIN_MS[Math.min(failures, AGAIN_MS.length - 1)]);
    failures += 1;
    return;
  }
  by("unit").hidden = !me.paired;
  by("pairing").hidden = me.paired;
  if (!me.paired) {
    document.querySelectorAll("dialog[open]").forEach((each) => each.close());
    by("code").focus();
  } else if (socket === null) {
    open();
  }
}

by("pair").addEventListener("submit", async (event) => {
  event.preventDefault();
  set(by("pair-said"), "");
  try {
    const answer = await fetch("/pair", {
      method: "POST",
      body: JSON.stringify({ code: by("code").value, name: by("name").value }),
    });
    if (!answer.ok) {
      set(by("pair-said"), await refusal(answer));
      return;
    }
  } catch {
    set(by("pair-said"), "the unit did not answer");
    return;
  }
  by("code").value = "";
  await begin();
});
by("picture").addEventListener("click", tapped);
// A phone that sleeps lets its connection go; it is there again when somebody looks.
document.addEventListener("visibilitychange", () => {
  if (!document.hidden && socket === null) {
    begin();
  }
});
ready();
begin();
