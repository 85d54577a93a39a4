// Drawing on a canvas: sharp on any screen, axes with units, curves, shades, marks, a legend.
// Data come as one block of float32 pairs x, y; a curve is a start and a count in that block.

const INK = "#202020", FAINT = "#595959", GRID = "#e3e3e3";
const FONT = "system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif";

function sharpContext(canvas) {
  const scale = (window.devicePixelRatio || 1) * (canvas.currentCSSZoom || 1);
  // Asking the page for a size makes it lay itself out; a size that was told is free.
  const [width, height] = canvas.told || [canvas.clientWidth, canvas.clientHeight];
  const wide = Math.round(width * scale), high = Math.round(height * scale);
  if (canvas.width !== wide || canvas.height !== high) {
    canvas.width = wide;
    canvas.height = high;
  }
  const context = canvas.getContext("2d", { alpha: false });
  context.setTransform(scale, 0, 0, scale, 0, 0);
  context.lineJoin = "round"; // the same for the first picture and for all after it
  context.lineCap = "butt";
  context.setLineDash([]);
  context.fillStyle = "#ffffff";
  context.fillRect(0, 0, width, height);
  return { context, width, height };
}

// Draw again when canvases change size, and keep the size for drawing.
function watchSizes(draw) {
  return new ResizeObserver((entries) => {
    for (const { target, contentRect } of entries) {
      if (target.tagName === "CANVAS") target.told = [Math.round(contentRect.width), Math.round(contentRect.height)];
    }
    draw();
  });
}

function roundStep(span, wanted) {
  const rough = span / Math.max(wanted, 1);
  const power = Math.pow(10, Math.floor(Math.log10(rough)));
  for (const part of [1, 2, 5, 10]) if (rough <= part * power * 1.0001) return part * power;
  return 10 * power;
}

function tickValues(low, high, wanted) {
  if (!(high > low)) return { step: 1, values: [low] };
  const step = roundStep(high - low, wanted);
  const values = [];
  for (let k = Math.ceil(low / step - 1e-6); k * step <= high + step * 1e-6; k++) {
    values.push(k * step);
  }
  return { step, values };
}

function tickText(value, step) {
  const places = Math.max(0, Math.min(6, -Math.floor(Math.log10(step) + 1e-9)));
  const text = (Math.abs(value) < step * 1e-6 ? 0 : value).toFixed(places);
  return text.replace("-", "\u2212");
}

// The frame of one picture: where the data rectangle lies, and how data become places on it.
function layOut(width, height, picture) {
  const frame = { left: 52, right: width - 12, top: 8, bottom: height - 34 };
  let { low: xl, high: xh } = picture.x;
  let { low: yl, high: yh } = picture.y;
  if (picture.equal) {
    const wide = frame.right - frame.left, high = frame.bottom - frame.top;
    const scale = Math.min(wide / (xh - xl), high / (yh - yl));
    const moreX = wide / scale - (xh - xl);
    xl -= moreX * 0.5;
    xh += moreX * 0.5;
    yh += high / scale - (yh - yl);
  }
  frame.xl = xl; frame.xh = xh; frame.yl = yl; frame.yh = yh;
  frame.x = (v) => frame.left + ((v - xl) / (xh - xl)) * (frame.right - frame.left);
  frame.y = (v) => frame.bottom - ((v - yl) / (yh - yl)) * (frame.bottom - frame.top);
  return frame;
}

function drawShades(context, frame, shades) {
  for (const shade of shades || []) {
    const a = frame.x(Math.max(shade.low, frame.xl)), b = frame.x(Math.min(shade.high, frame.xh));
    if (!(b > a)) continue;
    context.fillStyle = shade.colour;
    context.fillRect(a, frame.top, b - a, frame.bottom - frame.top);
  }
}

// Names of the shades: level where they fit, else upright at the foot of their shade.
function nameShades(context, frame, shades) {
  const taken = [];
  context.font = `10.5px ${FONT}`;
  context.fillStyle = FAINT;
  for (const shade of shades || []) {
    const a = frame.x(Math.max(shade.low, frame.xl)), b = frame.x(Math.min(shade.high, frame.xh));
    const wide = context.measureText(shade.name).width;
    if (b - a > wide + 6) {
      context.textAlign = "center"; context.textBaseline = "top";
      context.fillText(shade.name, (a + b) / 2, frame.top + 3);
      taken.push([(a + b - wide) / 2, frame.top + 2, (a + b + wide) / 2, frame.top + 16]);
    } else if (b - a >= 11) {
      context.save();
      context.translate((a + b) / 2, frame.bottom - 5);
      context.rotate(-Math.PI / 2);
      context.textAlign = "left"; context.textBaseline = "middle";
      context.fillText(shade.name, 0, 0);
      context.restore();
      taken.push([(a + b) / 2 - 7, frame.bottom - 5 - wide, (a + b) / 2 + 7, frame.bottom - 5]);
    }
  }
  return taken;
}

function drawAxes(context, frame, picture) {
  const across = tickValues(frame.xl, frame.xh, (frame.right - frame.left) / 70);
  const up = tickValues(frame.yl, frame.yh, (frame.bottom - frame.top) / 34);
  context.font = `11px ${FONT}`;
  context.lineWidth = 1;
  context.strokeStyle = GRID;
  context.beginPath();
  for (const v of across.values) {
    const x = Math.round(frame.x(v)) + 0.5;
    context.moveTo(x, frame.top); context.lineTo(x, frame.bottom);
  }
  for (const v of up.values) {
    const y = Math.round(frame.y(v)) + 0.5;
    context.moveTo(frame.left, y); context.lineTo(frame.right, y);
  }
  context.stroke();
  context.strokeStyle = "#404040";
  context.beginPath();
  context.moveTo(frame.left + 0.5, frame.top);
  context.lineTo(frame.left + 0.5, frame.bottom + 0.5);
  context.lineTo(frame.right, frame.bottom + 0.5);
  context.stroke();
  context.fillStyle = "#404040";
  context.textAlign = "center"; context.textBaseline = "top";
  for (const v of across.values) {
    context.fillText(tickText(v, across.step), frame.x(v), frame.bottom + 4);
  }
  context.textAlign = "right"; context.textBaseline = "middle";
  for (const v of up.values) context.fillText(tickText(v, up.step), frame.left - 5, frame.y(v));
  context.fillStyle = INK;
  context.textAlign = "right"; context.textBaseline = "bottom";
  context.fillText(picture.x.label, frame.right, frame.bottom + 33);
  context.save();
  context.translate(11, (frame.top + frame.bottom) / 2);
  context.rotate(-Math.PI / 2);
  context.textAlign = "center"; context.textBaseline = "middle";
  context.fillText(picture.y.label, 0, 0);
  context.restore();
}

function tracePath(context, frame, data, line) {
  context.beginPath();
  let down = false;
  for (let i = line.start; i < line.start + 2 * line.count; i += 2) {
    const x = data[i], y = data[i + 1];
    if (!(isFinite(x) && isFinite(y))) { down = false; continue; }
    if (down) context.lineTo(frame.x(x), frame.y(y));
    else context.moveTo(frame.x(x), frame.y(y));
    down = true;
  }
  if (line.closed) context.closePath();
}

function drawLine(context, frame, data, line) {
  tracePath(context, frame, data, line);
  if (line.fill) { context.fillStyle = line.fill; context.fill(); }
  if (!line.width) return;
  context.setLineDash(line.dash || []);
  context.strokeStyle = line.colour;
  context.lineWidth = line.width;
  context.lineJoin = "round";
  context.stroke();
  context.setLineDash([]);
}

function drawMark(context, frame, mark) {
  const x = frame.x(mark.x), y = frame.y(mark.y), r = mark.size || 5;
  if (!(isFinite(x) && isFinite(y))) return;
  context.fillStyle = mark.colour; context.strokeStyle = "#ffffff"; context.lineWidth = 1.5;
  context.beginPath();
  if (mark.shape === "frame") { // open, so that a mark under it stays in sight
    context.strokeStyle = mark.colour; context.lineWidth = 2;
    context.strokeRect(x - r - 1, y - r - 1, 2 * r + 2, 2 * r + 2);
    return;
  }
  if (mark.shape === "square") context.rect(x - r, y - r, 2 * r, 2 * r);
  else if (mark.shape === "diamond") {
    context.moveTo(x, y - r - 1); context.lineTo(x + r + 1, y);
    context.lineTo(x, y + r + 1); context.lineTo(x - r - 1, y); context.closePath();
  } else if (mark.shape === "triangle") {
    context.moveTo(x, y - r - 1); context.lineTo(x + r + 1, y + r);
    context.lineTo(x - r - 1, y + r); context.closePath();
  } else context.arc(x, y, r, 0, 2 * Math.PI);
  context.fill(); context.stroke();
}

// Words on a white halo, kept inside the frame and off the words already there.
function placeWords(context, frame, taken, words, x, y, colour) {
  context.font = `11px ${FONT}`;
  const wide = context.measureText(words).width, high = 14;
  const tries = [[8, -12], [8, 12], [-wide - 8, -12], [-wide - 8, 12], [8, -26], [-wide - 8, -26],
    [8, 26], [-wide - 8, 26], [-wide / 2, -20], [-wide / 2, 22]];
  let best = null, least = Infinity;
  for (const [dx, dy] of tries) {
    const left = Math.min(Math.max(x + dx, frame.left + 3), frame.right - wide - 2);
    const top = Math.min(Math.max(y + dy - high / 2, frame.top + 2), frame.bottom - high - 2);
    let cost = Math.abs(left - x - dx) + Math.abs(top - y - dy + high / 2);
    if (left < x + 5 && left + wide > x - 5 && top < y + 5 && top + high > y - 5) cost += 60;
    for (const box of taken) {
      if (left < box[2] && left + wide > box[0] && top < box[3] && top + high > box[1]) cost += 200;
    }
    if (cost < least - 1e-6) { least = cost; best = [left, top]; }
  }
  taken.push([best[0], best[1], best[0] + wide, best[1] + high]);
  context.textAlign = "left"; context.textBaseline = "top";
  context.strokeStyle = "rgba(255,255,255,0.9)"; context.lineWidth = 3;
  context.lineJoin = "round";
  context.strokeText(words, best[0], best[1] + 1);
  context.fillStyle = colour;
  context.fillText(words, best[0], best[1] + 1);
}

// Labels at the right-hand end of curves, moved apart until none overlaps.
function drawEndLabels(context, frame, data, lines) {
  context.font = `11px ${FONT}`;
  const labels = [];
  for (const line of lines) {
    if (!line.end || !line.count) continue;
    const i = line.start + 2 * (line.count - 1);
    labels.push({ line, x: frame.x(data[i]), y: frame.y(data[i + 1]) });
  }
  labels.sort((a, b) => a.y - b.y);
  const gap = 13;
  const top = frame.top + 6, bottom = frame.bottom - 6;
  let last = top - gap;
  for (const label of labels) last = label.at = Math.max(label.y, last + gap);
  let under = bottom + gap;
  for (const label of [...labels].reverse()) under = label.at = Math.min(label.at, under - gap);
  context.textAlign = "left"; context.textBaseline = "middle";
  for (const label of labels) {
    const x = label.x + 6;
    context.strokeStyle = label.line.colour; context.lineWidth = 0.8;
    context.beginPath();
    context.moveTo(label.x, label.y); context.lineTo(x, label.at); context.stroke();
    context.fillStyle = label.line.colour;
    context.fillText(label.line.end, x + 2, label.at);
  }
}

// The corner with the fewest points of the curves under it holds the legend.
function drawLegend(context, frame, data, lines, taken) {
  const named = lines.filter((line) => line.name);
  if (!named.length) return;
  context.font = `11px ${FONT}`;
  const wide = 34 + Math.max(...named.map((line) => context.measureText(line.name).width));
  const high = 15 * named.length + 4;
  const corners = [];
  for (const top of [frame.top + 4, frame.bottom - high - 4]) {
    for (const left of [frame.right - wide - 4, frame.left + 6]) corners.push([left, top]);
  }
  let best = corners[0], least = Infinity;
  for (const [left, top] of corners) {
    let under = 0;
    for (const line of lines) {
      for (let i = line.start; i < line.start + 2 * line.count; i += 2) {
        const x = frame.x(data[i]), y = frame.y(data[i + 1]);
        if (x > left - 4 && x < left + wide + 4 && y > top - 4 && y < top + high + 4) under += 1;
      }
    }
    for (const box of taken) {
      if (left < box[2] && left + wide > box[0] && top < box[3] && top + high > box[1]) under += 50;
    }
    if (under < least) { least = under; best = [left, top]; }
  }
  const [left, top] = best;
  taken.push([left, top, left + wide, top + high]);
  context.fillStyle = "rgba(255,255,255,0.85)";
  context.fillRect(left, top, wide, high);
  context.textAlign = "left"; context.textBaseline = "middle";
  named.forEach((line, row) => {
    const y = top + 10 + 15 * row;
    context.strokeStyle = line.colour; context.lineWidth = line.width || 2;
    context.setLineDash(line.dash || []);
    context.beginPath(); context.moveTo(left + 4, y); context.lineTo(left + 26, y);
    context.stroke(); context.setLineDash([]);
    context.fillStyle = INK;
    context.fillText(line.name, left + 31, y);
  });
}

function drawEmpty(context, width, height, words) {
  context.font = `13px ${FONT}`; context.fillStyle = FAINT;
  context.textAlign = "center"; context.textBaseline = "middle";
  const rows = [];
  let row = "";
  for (const word of words.split(" ")) {
    if (context.measureText(row + " " + word).width > width - 40 && row) { rows.push(row); row = word; }
    else row = row ? row + " " + word : word;
  }
  rows.push(row);
  rows.forEach((text, i) => {
    context.fillText(text, width / 2, height / 2 + (i - (rows.length - 1) / 2) * 18);
  });
}

// Gives the frame that it was drawn in, or null where nothing was.
function drawPicture(canvas, picture, data) {
  const { context, width, height } = sharpContext(canvas);
  if (width < 60 || height < 60) return null;
  if (picture.empty) { drawEmpty(context, width, height, picture.empty); return null; }
  const frame = layOut(width, height, picture);
  if (picture.roomForEnds) {
    context.font = `11px ${FONT}`;
    const widest = Math.max(0, ...picture.lines.map((l) => context.measureText(l.end || "").width));
    frame.right -= widest + 12;
  }
  drawShades(context, frame, picture.shades);
  drawAxes(context, frame, picture);
  const taken = nameShades(context, frame, picture.shades);
  context.save();
  context.beginPath();
  context.rect(frame.left - 1, frame.top - 1, frame.right - frame.left + 2, frame.bottom - frame.top + 2);
  context.clip();
  for (const rule of picture.rules || []) {
    context.strokeStyle = rule.colour; context.lineWidth = 1;
    context.setLineDash(rule.dash || [2, 3]);
    context.beginPath();
    if (rule.x !== undefined) {
      context.moveTo(frame.x(rule.x), frame.top); context.lineTo(frame.x(rule.x), frame.bottom);
    } else {
      context.moveTo(frame.left, frame.y(rule.y)); context.lineTo(frame.right, frame.y(rule.y));
    }
    context.stroke(); context.setLineDash([]);
  }
  for (const line of picture.lines) drawLine(context, frame, data, line);
  context.restore();
  for (const mark of picture.marks || []) drawMark(context, frame, mark);
  drawEndLabels(context, frame, data, picture.lines);
  for (const mark of picture.marks || []) {
    const x = frame.x(mark.x), y = frame.y(mark.y);
    taken.push([x - 6, y - 6, x + 6, y + 6]);
  }
  for (const mark of picture.marks || []) {
    if (mark.label) placeWords(context, frame, taken, mark.label, frame.x(mark.x), frame.y(mark.y), INK);
  }
  for (const rule of picture.rules || []) {
    if (!rule.label) continue;
    const x = rule.x !== undefined ? frame.x(rule.x) : frame.right;
    const y = rule.x !== undefined ? (frame.top + 2 * frame.bottom) / 3 : frame.y(rule.y);
    placeWords(context, frame, taken, rule.label, x, y, FAINT);
  }
  drawLegend(context, frame, data, picture.lines, taken);
  return frame;
}

function floatsOf(view) {
  if (!view || !view.byteLength) return new Float32Array(0);
  const bytes = view.buffer ? view : new DataView(view);
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength));
}

function element(kind, attributes, ...children) {
  const made = document.createElement(kind);
  for (const [name, value] of Object.entries(attributes || {})) {
    if (value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}

// A button that brings a dial of the page into sight and its field into focus.
function dialButton(near, path, name) {
  const made = element("button", { class: "sw-button", type: "button", "data-dial": path }, name);
  made.addEventListener("click", () => {
    const wanted = `:is(input.sw-typed, input.sw-tick, select)[data-path="${path}"]`;
    let at = null;
    for (let up = near; up && !at; up = up.parentElement) at = up.querySelector(wanted);
    for (let up = at; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
    at?.focus();
  });
  return made;
}

// Tell the kernel something. Where it is gone nothing can be sent: the banner over the page says so.
function toKernel(model, message) {
  try { model.send(message); } catch { /* gone */ }
}
