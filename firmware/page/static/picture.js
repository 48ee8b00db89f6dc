// What is drawn: the picture with its spot and pins, trace and chroma trace with their scales.

const style = getComputedStyle(document.documentElement);
const colour = (name) => style.getPropertyValue(`--${name}`).trim();

const kept = { picture: null, trace: null, chroma: null };
let moment = null;

async function decoded(bytes, type) {
  return createImageBitmap(new Blob([bytes], { type }));
}

function box(context, one, width, height, line) {
  const [x, y] = [one.x * width, one.y * height];
  const [w, h] = [Math.max(one.w * width, 8), Math.max(one.h * height, 8)];
  // Dark on both sides of a light line, so that it reads on white and on black.
  context.lineWidth = 5;
  context.strokeStyle = colour("edge");
  context.strokeRect(x, y, w, h);
  context.lineWidth = 2.5;
  context.strokeStyle = line;
  context.strokeRect(x, y, w, h);
}

function label(context, words, x, y) {
  context.font = "600 22px Plex, system-ui, sans-serif";
  const wide = context.measureText(words).width + 12;
  const at = Math.min(Math.max(x, 0), context.canvas.width - wide);
  const top = y < 30 ? y + 34 : y;
  context.fillStyle = colour("edge");
  context.fillRect(at, top - 28, wide, 28);
  context.fillStyle = colour("text");
  context.fillText(words, at + 6, top - 7);
}

export function drawPicture() {
  const canvas = document.getElementById("picture");
  const context = canvas.getContext("2d");
  const image = kept.picture;
  if (image === null) {
    return;
  }
  if (canvas.width !== image.width || canvas.height !== image.height) {
    canvas.width = image.width;
    canvas.height = image.height;
  }
  context.drawImage(image, 0, 0);
  if (moment === null || !moment.believed) {
    return;
  }
  for (const pin of moment.pins) {
    if (pin !== null) {
      box(context, pin, canvas.width, canvas.height, colour("sky"));
      label(context, pin.label, pin.x * canvas.width, pin.y * canvas.height - 4);
    }
  }
  if (moment.spot !== null) {
    box(context, moment.spot, canvas.width, canvas.height, colour("amber"));
  }
}

function scale(context, marks, side, width, height) {
  context.font = "600 17px Plex, system-ui, sans-serif";
  let last = -Infinity;
  for (const mark of [...marks].sort((one, other) => one.at - other.at)) {
    const y = mark.at * height;
    context.strokeStyle = colour("line");
    context.beginPath();
    context.moveTo(48, y);
    context.lineTo(width - 56, y);
    context.stroke();
    const stands = Math.min(Math.max(y + 6, 15), height - 3);
    if (stands - last < 17) {
      continue;
    }
    last = stands;
    context.fillStyle = colour("quiet");
    context.textAlign = side;
    context.fillText(mark.label, side === "right" ? 42 : width - 50, stands);
  }
  context.textAlign = "left";
}

export function drawTrace() {
  const canvas = document.getElementById("trace");
  const context = canvas.getContext("2d");
  const { width, height } = canvas;
  context.fillStyle = colour("panel");
  context.fillRect(0, 0, width, height);
  if (moment === null || !moment.believed || kept.trace === null) {
    return;
  }
  if (moment.scale !== null) {
    scale(context, moment.scale.percent, "right", width, height);
    scale(context, moment.scale.stops, "left", width, height);
  }
  context.globalCompositeOperation = "lighter";
  context.drawImage(kept.trace, 48, 0, width - 104, height);
  context.globalCompositeOperation = "source-over";
}

export function drawChroma() {
  const canvas = document.getElementById("chroma");
  canvas.hidden = kept.chroma === null; // no view at hand counts it
  const context = canvas.getContext("2d");
  const { width, height } = canvas;
  context.fillStyle = colour("panel");
  context.fillRect(0, 0, width, height);
  context.strokeStyle = colour("line");
  for (const share of [0.5, 0.25]) {
    context.beginPath();
    context.arc(width / 2, height / 2, share * width - 1, 0, 2 * Math.PI);
    context.stroke();
  }
  context.beginPath();
  context.moveTo(width / 2, 0);
  context.lineTo(width / 2, height);
  context.moveTo(0, height / 2);
  context.lineTo(width, height / 2);
  context.stroke();
  context.fillStyle = colour("quiet");
  context.font = "600 17px Plex, system-ui, sans-serif";
  context.fillText("Cr", width / 2 + 5, 18);
  context.fillText("Cb", width - 28, height / 2 - 6);
  if (moment === null || !moment.believed || kept.chroma === null) {
    return;
  }
  context.globalCompositeOperation = "lighter";
  context.drawImage(kept.chroma, 0, 0, width, height);
  context.globalCompositeOperation = "source-over";
}

export function redraw(now) {
  moment = now;
  drawPicture();
  drawTrace();
  drawChroma();
}

// Bytes that came: the first says which picture they are. Resolves once it is drawn.
export async function show(data) {
  const kind = String.fromCharCode(new Uint8Array(data, 0, 1)[0]);
  const bytes = data.slice(1);
  const image =
    bytes.byteLength === 0 ? null : await decoded(bytes, kind === "P" ? "image/jpeg" : "image/png");
  const name = { P: "picture", T: "trace", C: "chroma" }[kind];
  if (kept[name] !== null) {
    kept[name].close();
  }
  kept[name] = image;
  ({ picture: drawPicture, trace: drawTrace, chroma: drawChroma })[name]();
  return kind;
}
