"use strict";
// Draws the waveform of the page and lets it be zoomed: by drag, wheel, keys and buttons. Times are whole
// picoseconds from the begin of the period; the data are points of lines, so all of them in sight are drawn.
(() => {
  const frame = document.getElementById("chart");
  const data = JSON.parse(document.getElementById("chart-data").textContent);
  const plot = frame.querySelector(".plot");
  const svg = plot.querySelector("svg");
  const range = document.getElementById("chart-range");

  const LEFT = 58, RIGHT = 170, TOP = 22, BOTTOM = 40, HEIGHT = 150, GAP = 14, LABEL = 110;
  const SHORTEST = 100; // Of a part shown [ps].
  const LEAST_EXTENT = 0.01; // Of a panel's range, as a share of all of it: less would show rounding.
  const BANDS = ["#dcebf5", "#f8e3ce"];
  const UNITS = [["s", 1e12], ["ms", 1e9], ["µs", 1e6], ["ns", 1e3], ["ps", 1]];

  let elapsed = 0;
  const times = data.steps.map((step) => (elapsed += step));
  for (const panel of data.panels) {
    const all = panel.lines.flatMap((line) => line.values);
    panel.extent = all.reduce((most, value) => Math.max(most, value), -Infinity)
      - all.reduce((least, value) => Math.min(least, value), Infinity);
  }

  let view = data.views[0];
  let { begin, end } = view;
  let cursor = null; // Time at which values are read [ps].
  let drag = null; // Pixels where a drag began and where it is.
  let width = 0;

  const make = (parent, tag, attributes, text) => {
    // The page's own elements know their namespace.
    const element = document.createElementNS(svg.namespaceURI, tag);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    return parent.appendChild(element);
  };
  const right = () => width - RIGHT;
  const x = (time) => LEFT + (time - begin) / (end - begin) * (right() - LEFT);
  const timeAt = (pixel) => begin + (pixel - LEFT) / (right() - LEFT) * (end - begin);
  const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

  /** Index of the first point after a time. */
  const after = (time) => {
    let low = 0, high = times.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (times[middle] > time) high = middle; else low = middle + 1;
    }
    return low;
  };
  /** Value of a line at a time. */
  const valueAt = (line, time) => {
    const next = clamp(after(time), 1, times.length - 1);
    const [t0, t1] = [times[next - 1], times[next]];
    const [v0, v1] = [line.values[next - 1], line.values[next]];
    return t1 > t0 ? v0 + (v1 - v0) * clamp((time - t0) / (t1 - t0), 0, 1) : v1;
  };
  /** Points of a line in sight, its values at both ends of the sight included. */
  const inSight = (line) => {
    const points = [[begin, valueAt(line, begin)]];
    for (let i = after(begin); i < times.length && times[i] < end; i++) {
      points.push([times[i], line.values[i]]);
    }
    return [...points, [end, valueAt(line, end)]];
  };
  /** Round numbers that divide a range into about so many parts. */
  const ticks = (low, high, parts) => {
    const rough = (high - low) / parts;
    const power = 10 ** Math.floor(Math.log10(rough));
    const step = power * [1, 2, 5, 10].find((factor) => factor * power >= rough * 0.999);
    const found = [];
    for (let i = Math.ceil(low / step - 1e-9); i * step <= high + 1e-9 * step; i++) found.push(i * step);
    return found;
  };
  const plain = (value, digits = 6) => String(Number(value.toPrecision(digits)));
  const unitOf = (span) => UNITS.find(([, size]) => span >= size) ?? UNITS.at(-1);
  /** A time in the unit of the axis, to a thousandth of what is shown. */
  const timeText = (time) => {
    const [unit, size] = unitOf(end - begin);
    const digits = clamp(Math.ceil(Math.log10(Math.abs(time) / (end - begin) + 1)) + 3, 3, 15);
    return `${plain(time / size, digits)} ${unit}`;
  };
  const lengthText = (length) => {
    const [unit, size] = unitOf(length);
    return `${plain(length / size, 3)} ${unit}`;
  };
  const timeTicks = () => {
    const [unit, size] = unitOf(end - begin);
    const found = ticks((begin - view.origin) / size, (end - view.origin) / size, 7);
    return { unit, marks: found.map((tick) => [x(view.origin + tick * size), plain(tick, 9)]) };
  };

  const drawPanel = (panel, top) => {
    const lines = panel.lines.map((line) => ({ ...line, points: inSight(line) }));
    const values = lines.flatMap((line) => line.points.map(([, value]) => value));
    let low = values.reduce((a, b) => Math.min(a, b)), high = values.reduce((a, b) => Math.max(a, b));
    const room = Math.max(0.1 * (high - low), 0.5 * (LEAST_EXTENT * panel.extent - (high - low)), 1e-12);
    [low, high] = [low - room, high + room];
    const y = (value) => top + HEIGHT - (value - low) / (high - low) * HEIGHT;
    view.intervals.forEach((interval, index) => {
      const [from, to] = [interval.begin, interval.end].map((time) => clamp(x(time), LEFT, right()));
      if (to > from) {
        make(svg, "rect", { x: from, y: top, width: to - from, height: HEIGHT, fill: BANDS[index % BANDS.length] });
      }
    });
    for (const [place] of timeTicks().marks) {
      make(svg, "line", { x1: place, x2: place, y1: top, y2: top + HEIGHT, stroke: "#e3e3e3" });
    }
    for (const value of ticks(low, high, 4)) {
      make(svg, "line", { x1: LEFT, x2: right(), y1: y(value), y2: y(value), stroke: "#e3e3e3" });
      make(svg, "text", { x: LEFT - 6, y: y(value) + 4, "text-anchor": "end", fill: "#1a1a1a" }, plain(value));
    }
    make(svg, "text", { x: 13, y: top + HEIGHT / 2, "text-anchor": "middle", fill: "#1a1a1a",
      transform: `rotate(-90 13 ${top + HEIGHT / 2})` }, `${panel.title} (${panel.unit})`);
    lines.forEach((line, index) => {
      const path = line.points.map(([time, value]) => `${x(time).toFixed(2)},${y(value).toFixed(2)}`).join("L");
      make(svg, "path", { d: `M${path}`, fill: "none", stroke: line.color, "stroke-width": line.main ? 2 : 1.2,
        "stroke-linejoin": "round", "data-line": `${panel.title}, ${line.name}` });
      const reading = cursor === null ? "" : `: ${plain(valueAt(line, cursor), 4)} ${panel.unit}`;
      const row = top + 12 + 17 * (lines.length - 1 - index);
      make(svg, "line", { x1: right() + 10, x2: right() + 26, y1: row - 4, y2: row - 4, stroke: line.color,
        "stroke-width": line.main ? 3 : 1.5 });
      make(svg, "text", { x: right() + 31, y: row, fill: line.ink, "font-weight": line.main ? 600 : 400 },
        line.name + reading);
    });
    make(svg, "rect", { x: LEFT, y: top, width: right() - LEFT, height: HEIGHT, fill: "none", stroke: "#8a8a8a" });
  };

  const drawTimeAxis = (bottom) => {
    const { unit, marks } = timeTicks();
    for (const [place, words] of marks) {
      make(svg, "text", { x: place, y: bottom + 18, "text-anchor": "middle", fill: "#1a1a1a" }, words);
    }
    make(svg, "text", { x: (LEFT + right()) / 2, y: bottom + 35, "text-anchor": "middle", fill: "#1a1a1a" },
      `time from the ${view.from} (${unit})`);
  };

  const drawMarks = (bottom) => {
    view.intervals.forEach((interval, index) => {
      const [from, to] = [interval.begin, interval.end].map((time) => x(time));
      if (to < LEFT || from > right() || right() - LEFT < 2 * LABEL) return;
      // The first name stands left of where the two intervals meet, the second one right of it.
      const place = index ? clamp(from + 4, LEFT + LABEL, right() - LABEL) : clamp(to - 4, LEFT + LABEL, right());
      make(svg, "text", { x: place, y: TOP - 7, "text-anchor": index ? "start" : "end", fill: "#1a1a1a" },
        `${interval.name} ${lengthText(interval.end - interval.begin)}`);
    });
    if (cursor !== null) {
      make(svg, "line", { x1: x(cursor), x2: x(cursor), y1: TOP, y2: bottom, stroke: "#1a1a1a",
        "stroke-dasharray": "3 3" });
    }
    if (drag) {
      make(svg, "rect", { x: Math.min(drag.from, drag.to), y: TOP, width: Math.abs(drag.to - drag.from),
        height: bottom - TOP, fill: "#0072b2", "fill-opacity": 0.15, stroke: "#0072b2" });
    }
  };

  const draw = () => {
    width = Math.max(plot.clientWidth, LEFT + RIGHT + 120);
    const bottom = TOP + data.panels.length * HEIGHT + (data.panels.length - 1) * GAP;
    svg.setAttribute("viewBox", `0 0 ${width} ${bottom + BOTTOM}`);
    svg.replaceChildren();
    data.panels.forEach((panel, index) => drawPanel(panel, TOP + index * (HEIGHT + GAP)));
    drawTimeAxis(bottom);
    drawMarks(bottom);
    for (const button of frame.querySelectorAll("[aria-pressed]")) {
      button.setAttribute("aria-pressed", String(button.dataset.view === view.name));
    }
  };

  const middle = () => (begin + end) / 2;
  /** Show a part of the period, as much of it as there is; on demand with the values in its middle. */
  const show = (from, to, readsMiddle = false) => {
    const span = clamp(to - from, SHORTEST, data.end);
    begin = clamp((from + to - span) / 2, 0, data.end - span);
    end = begin + span;
    if (readsMiddle) cursor = middle();
    range.textContent = `Shown: ${timeText(begin - view.origin)} to ${timeText(end - view.origin)}`
      + (cursor === null ? "" : `, values at ${timeText(cursor - view.origin)}`);
    draw();
  };
  const zoom = (factor, around, readsMiddle) =>
    show(around - (around - begin) * factor, around + (end - around) * factor, readsMiddle);
  const move = (share) => show(begin + share * (end - begin), end + share * (end - begin), true);
  const reset = () => { cursor = null; show(view.begin, view.end); };

  const KEYS = {
    "+": () => zoom(0.5, middle(), true),
    "=": () => zoom(0.5, middle(), true), // The same key without Shift.
    "-": () => zoom(2, middle(), true),
    ArrowLeft: () => move(-0.2),
    ArrowRight: () => move(0.2),
    0: reset,
    Escape: () => { drag = null; draw(); },
  };
  plot.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || !(event.key in KEYS)) return;
    event.preventDefault();
    KEYS[event.key]();
  });
  plot.addEventListener("wheel", (event) => {
    // The page must scroll on under a hand that only passes by.
    if (document.activeElement !== plot) return;
    event.preventDefault();
    zoom(2 ** (event.deltaY / 300), clamp(timeAt(pixel(event)), begin, end));
  }, { passive: false });

  const pixel = (event) => {
    const box = svg.getBoundingClientRect();
    return clamp((event.clientX - box.left) * width / box.width, LEFT, right());
  };
  plot.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    plot.focus();
    plot.setPointerCapture(event.pointerId);
    drag = { from: pixel(event), to: pixel(event) };
  });
  plot.addEventListener("pointermove", (event) => {
    cursor = timeAt(pixel(event));
    if (drag) drag.to = pixel(event);
    draw();
  });
  plot.addEventListener("pointerup", () => {
    if (!drag) return;
    const [from, to] = [drag.from, drag.to].sort((a, b) => a - b);
    drag = null;
    if (to - from > 5) show(timeAt(from), timeAt(to)); else draw();
  });
  plot.addEventListener("pointercancel", () => { drag = null; draw(); });
  plot.addEventListener("pointerleave", () => { if (!drag) { cursor = null; draw(); } });
  plot.addEventListener("dblclick", reset);

  const controls = frame.querySelector(".controls");
  const addButton = (text, action, name) => {
    const button = controls.appendChild(document.createElement("button"));
    button.type = "button";
    button.textContent = text;
    if (name) { button.dataset.view = name; button.setAttribute("aria-pressed", "false"); }
    button.addEventListener("click", action);
    return button;
  };
  for (const one of data.views) addButton(one.name, () => { view = one; reset(); }, one.name);
  addButton("zoom in", () => zoom(0.5, middle()));
  addButton("zoom out", () => zoom(2, middle()));
  addButton("reset", reset);

  frame.hidden = false;
  new ResizeObserver(draw).observe(plot);
  reset();
})();
