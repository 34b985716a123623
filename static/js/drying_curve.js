// Draws a drying curve: the likely path with its band, what was measured, the air's EMC, frozen days, targets and dates.
"use strict";

(() => {
  const place = document.querySelector("[data-drying-curve]");
  const data = place && Chart.data(place.dataset.dryingCurve);
  if (!data) return;
  const phone = matchMedia("(max-width: 43.99rem)").matches;

  const dayOf = (number) => {
    const day = new Date(`${data.first}T12:00:00Z`);
    day.setUTCDate(day.getUTCDate() + number);
    return day.toISOString().slice(0, 10);
  };
  const days = data.mid.map((_, number) => dayOf(number));
  const now = Math.min(data.now, days.length - 1);
  const percent = (value) => `${value.toFixed(1)}%`;

  const traces = (colour) => {
    const line = (x, y, name, more) => ({ x, y, name, mode: "lines", hoverinfo: "skip", ...more });
    const hover = data.mid.map((mid, n) => `${n > now ? "likely " : ""}${percent(mid)}, ${percent(data.low[n])} to ${percent(data.high[n])}${data.emc[n] === undefined ? "" : `; air ${percent(data.emc[n])}`}`);
    const own = data.targets.filter((one) => one.own && one.mid);
    return [
      line(days, data.low, "low", { line: { width: 0 } }),
      line(days, data.high, "8 times in 10", { line: { width: 0 }, fill: "tonexty", fillcolor: colour("accent-tint") }),
      line(days.slice(0, data.emc.length), data.emc, "EMC of the air", { line: { width: 1.5, dash: "dot", color: colour("info") } }),
      line(days.slice(0, now + 1), data.mid.slice(0, now + 1), "mean MC", { line: { width: 3, color: colour("accent") } }),
      line(days.slice(now), data.mid.slice(now), "to come", { line: { width: 3, dash: "dash", color: colour("accent") } }),
      { x: days, y: data.mid, text: hover, mode: "lines", line: { width: 0 }, hovertemplate: "%{text}<extra></extra>" },
      ...data.marks.map((mark) => ({
        x: mark.x, y: mark.y, text: mark.text, name: mark.name, mode: "markers", hovertemplate: "%{text}<extra></extra>",
        marker: { symbol: mark.symbol, size: 10, color: colour("ink"), line: { width: 1.5, color: colour("sheet") } },
      })),
      ...own.map((one) => ({
        x: [one.mid], y: [one.pct], text: [`${one.pct}% about ${one.mid}`], mode: "markers", hovertemplate: "%{text}<extra></extra>",
        error_x: { type: "data", symmetric: false, array: [gap(one.mid, one.high ?? days[days.length - 1])], arrayminus: [one.low ? gap(one.low, one.mid) : 0], color: colour("danger"), thickness: 2 },
        marker: { symbol: "line-ns", size: 14, line: { width: 3, color: colour("danger") } },
      })),
    ];
  };
  const gap = (from, to) => new Date(to) - new Date(from);

  const layout = (colour) => ({
    margin: { l: 44, r: 8, t: 20, b: 36 },
    xaxis: { type: "date", range: [days[0], days[days.length - 1]], fixedrange: phone, tickformat: "%b %Y", nticks: phone ? 4 : 8 },
    yaxis: { title: phone ? undefined : { text: "MC, %" }, rangemode: "tozero", fixedrange: phone, ticksuffix: phone ? "%" : "" },
    dragmode: phone ? false : "zoom",
    shapes: [
      ...data.frozen.map(([x0, x1]) => ({ type: "rect", x0, x1, yref: "paper", y0: 0, y1: 1, fillcolor: colour("info-tint"), opacity: 0.75, line: { width: 0 }, layer: "below" })),
      ...data.targets.map((one) => ({ type: "line", xref: "paper", x0: 0, x1: 1, y0: one.pct, y1: one.pct, line: { color: colour(one.own ? "danger" : "line-strong"), width: one.own ? 1.5 : 1, dash: "dot" } })),
      { type: "line", x0: days[now], x1: days[now], yref: "paper", y0: 0, y1: 1, line: { color: colour("ink-soft"), width: 1 } },
    ],
    annotations: [
      { x: days[now], yref: "paper", y: 1, yanchor: "bottom", text: "today", showarrow: false, font: { size: 13, color: colour("ink-soft") } },
      ...data.targets.map((one) => ({ xref: "paper", x: 0.006, xanchor: "left", y: one.pct, yanchor: "middle", bgcolor: colour("sheet"), borderpad: 1, text: one.own ? `target ${one.pct}%` : `${one.pct}%`, showarrow: false, font: { size: 13, color: colour(one.own ? "danger" : "ink-soft") } })),
    ],
  });

  place.replaceChildren();
  place.setAttribute("role", "img");
  Chart.draw(place.id, traces, layout);
  legend();

  // Words beside each sign, in the page's own text; a person who sees no colour reads the shape.
  function legend() {
    const SHAPES = {
      circle: "M8 2a6 6 0 1 0 .01 0z", square: "M3 3h10v10H3z", "square-open": "M3 3h10v10H3zM5 5v6h6V5z", diamond: "M8 1l7 7-7 7-7-7z", x: "M2 4l2-2 4 4 4-4 2 2-4 4 4 4-2 2-4-4-4 4-2-2 4-4z",
      "triangle-up": "M8 2l7 12H1z", "triangle-down": "M8 14L1 2h14z", star: "M8 1l2 5h5l-4 3 2 6-5-4-5 4 2-6-4-3h5z", cross: "M6 1h4v5h5v4h-5v5H6v-5H1V6h5z", hexagon: "M5 2h6l4 6-4 6H5L1 8z",
    };
    const list = document.getElementById("drying-legend");
    const add = (words, shape) => {
      const item = document.createElement("li");
      const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      svg.setAttribute("viewBox", "0 0 26 16");
      svg.setAttribute("aria-hidden", "true");
      svg.append(shape);
      item.append(svg, words);
      list.append(item);
    };
    const part = (tag, attributes) => {
      const one = document.createElementNS("http://www.w3.org/2000/svg", tag);
      for (const [name, value] of Object.entries(attributes)) one.setAttribute(name, value);
      return one;
    };
    const stroke = (colour, width, dash) => part("path", { d: "M0 8h26", fill: "none", stroke: `var(--${colour})`, "stroke-width": width, ...(dash ? { "stroke-dasharray": dash } : {}) });
    add("mean MC, dashed to come", stroke("accent", 3));
    add("between these 8 times in 10", part("rect", { x: 0, y: 2, width: 26, height: 12, fill: "var(--accent-tint)", stroke: "var(--line-strong)", "stroke-width": 0.5 }));
    if (data.emc.length) add("EMC of the air", stroke("info", 2, "2 3"));
    if (data.frozen.length) add("frozen", part("rect", { x: 0, y: 2, width: 26, height: 12, fill: "var(--info-tint)", stroke: "var(--info)", "stroke-width": 0.5 }));
    for (const mark of data.marks) add(mark.name, part("path", { d: SHAPES[mark.symbol] ?? SHAPES.circle, transform: "translate(5 0)", fill: "var(--ink)", "fill-rule": "evenodd" }));
    if (data.targets.some((one) => one.own && one.mid)) add("ready, with its interval", part("path", { d: "M0 8h26M13 1v14", fill: "none", stroke: "var(--danger)", "stroke-width": 2.5 }));
  }
})();
