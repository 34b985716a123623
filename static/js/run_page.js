// Draws a run: air and core with what was set, and predicted against measured drying.
"use strict";

(() => {
  const phone = matchMedia("(max-width: 43.99rem)").matches;
  const has = (id) => document.getElementById(id) !== null;
  const COLOURS = { dry: "danger", wet: "info", rh: "accent", emc: "good", out: "caution", outdoor: "ink-soft" };
  const DASHES = { wet: "dash", emc: "dot", outdoor: "dash", out: "dot" };

  const air = () => {
    const data = Chart.data("run-data");
    const temps = data.lines.filter((one) => one.unit === "temp");
    const shares = data.lines.filter((one) => one.unit === "pct");
    const paint = (one, colour) => colour(COLOURS[one.key] ?? "caution");

    // A bucket without a reading is bridged; a longer silence is a gap in the line.
    const bridge = Math.max(2, Math.round(6 / data.hours));
    const joined = (one) => {
      const at = [], mean = [];
      let silent = 0;
      one.mean.forEach((value, n) => {
        silent = value === null ? silent + 1 : 0;
        if (value === null && silent !== bridge) return;
        at.push(data.at[n]);
        mean.push(value);
      });
      return { x: at, y: mean };
    };

    // One outline for each stretch without a silence: along the highest, and back along the lowest.
    const band = (one, axis) => {
      const x = [], y = [];
      let part = [], silent = 0;
      const outline = () => {
        const back = [...part].reverse();
        x.push(...part.map((n) => data.at[n]), ...back.map((n) => data.at[n]), null);
        y.push(...part.map((n) => one.high[n]), ...back.map((n) => one.low[n]), null);
        part = [];
      };
      one.mean.forEach((value, n) => {
        silent = value === null ? silent + 1 : 0;
        if (value !== null) part.push(n);
        else if (silent === bridge) outline();
      });
      outline();
      return [{ x, y, yaxis: axis, mode: "lines", line: { width: 0 }, fill: "toself", fillcolor: "rgba(128,128,128,0.18)", hoverinfo: "skip", showlegend: false }];
    };
    const line = (one, axis, colour) => ({
      ...joined(one), name: one.name, yaxis: axis, mode: "lines", connectgaps: false,
      line: { width: 2, color: paint(one, colour), dash: DASHES[one.key] ?? "solid" },
      hovertemplate: `%{y:.1f}${one.unit === "temp" ? ` ${data.unit}` : "%"}<extra>${one.name}</extra>`,
    });
    const traces = (colour) => [
      ...temps.filter((one) => one.key === "dry").flatMap((one) => band(one, "y")),
      ...shares.filter((one) => one.key === "rh").flatMap((one) => band(one, "y2")),
      ...temps.map((one) => line(one, "y", colour)),
      ...shares.map((one) => line(one, "y2", colour)),
      ...data.set.filter((one) => one.dry !== null).map((one) => ({
        x: [one.from, one.to], y: [one.dry, one.dry], name: `set, ${one.name}`, mode: "lines", hoverinfo: "skip", showlegend: false, line: { width: 1.5, dash: "dot", color: colour("ink") },
      })),
    ];
    const ends = (lines, colour, axis) => lines.filter((one) => one.mean.some((value) => value !== null)).map((one) => {
      const last = one.mean.findLastIndex((value) => value !== null);
      return { x: data.at[last], y: one.mean[last], yref: axis, text: one.name, showarrow: false, xanchor: "right", yanchor: "bottom", font: { size: 13, color: paint(one, colour) }, bgcolor: colour("sheet") };
    });
    const layout = (colour) => ({
      margin: { l: 48, r: 8, t: 8, b: 36 },
      xaxis: { type: "date", fixedrange: phone, nticks: phone ? 4 : 8, anchor: "y2" },
      yaxis: { domain: [0.46, 1], title: phone ? undefined : { text: data.unit }, fixedrange: phone },
      yaxis2: { domain: [0, 0.38], rangemode: "tozero", ticksuffix: "%", fixedrange: phone, gridcolor: colour("line"), automargin: true },
      dragmode: phone ? false : "zoom",
      annotations: phone ? [] : [...ends(temps, colour, "y"), ...ends(shares, colour, "y2")],
      showlegend: phone,
      legend: { orientation: "h", y: -0.2, font: { size: 12, color: colour("ink") } },
    });
    Chart.draw("run-chart", traces, layout);
  };

  const progress = () => {
    const data = Chart.data("progress-data");
    const symbols = ["circle", "square", "diamond", "triangle-up", "cross", "x"];
    const traces = (colour) => [
      { x: data.planned.at, y: data.planned.pct, name: "predicted", mode: "lines", line: { width: 3, color: colour("accent") }, hovertemplate: "%{y:.1f}%<extra>predicted</extra>" },
      ...data.samples.map((one, n) => ({
        x: one.at, y: one.pct, name: one.name, mode: "markers", hovertemplate: `%{y:.1f}%<extra>${one.name}</extra>`,
        marker: { size: 9, symbol: symbols[n % symbols.length], color: colour("ink"), line: { width: 1, color: colour("sheet") } },
      })),
    ];
    const layout = (colour) => ({
      xaxis: { type: "date", fixedrange: true, nticks: phone ? 4 : 8 },
      yaxis: { title: phone ? undefined : { text: "MC, %" }, rangemode: "tozero", fixedrange: true, ticksuffix: "%" },
      dragmode: false,
      shapes: [{ type: "line", xref: "paper", x0: 0, x1: 1, y0: data.target, y1: data.target, line: { color: colour("danger"), width: 1.5, dash: "dot" } }],
      annotations: [{ xref: "paper", x: 0.99, xanchor: "right", y: data.target, yanchor: "bottom", text: `target ${data.target}%`, showarrow: false, font: { size: 13, color: colour("danger") }, bgcolor: colour("sheet") }],
    });
    Chart.draw("progress-chart", traces, layout);
  };

  if (has("run-data")) air();
  if (has("progress-data")) progress();
})();
