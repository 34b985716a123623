// Draws the winter chart of a kiln: the temperature that it holds by the outdoor temperature, and what its work asks.
"use strict";

(() => {
  if (!document.getElementById("winter-data")) return;
  const data = Chart.data("winter-data");
  const phone = matchMedia("(max-width: 43.99rem)").matches;
  const ends = [data.outdoor[0], data.outdoor[data.outdoor.length - 1]];
  const text = data.held.map((held, n) => `${held} ${data.unit}, ${data.low[n]} to ${data.high[n]}`);

  const traces = (colour) => [
    { x: data.outdoor, y: data.low, mode: "lines", line: { width: 0 }, hoverinfo: "skip" },
    { x: data.outdoor, y: data.high, mode: "lines", line: { width: 0 }, fill: "tonexty", fillcolor: colour("accent-tint"), hoverinfo: "skip" },
    { x: data.outdoor, y: data.held, text, mode: "lines", line: { width: 3, color: colour("accent") }, hovertemplate: "%{text}<extra></extra>" },
  ];

  const layout = (colour) => ({
    xaxis: { title: { text: `outdoors, ${data.unit}` }, range: ends, fixedrange: true },
    yaxis: { title: phone ? undefined : { text: `it holds, ${data.unit}` }, fixedrange: true },
    dragmode: false,
    shapes: data.marks.map((mark) => ({ type: "line", xref: "paper", x0: 0, x1: 1, y0: mark.at, y1: mark.at, line: { color: colour("danger"), width: 1.5, dash: "dot" } })),
    annotations: data.marks.map((mark) => ({ xref: "paper", x: 0.99, xanchor: "right", y: mark.at, yanchor: "bottom", text: `${mark.words} at ${mark.at} ${data.unit}`, showarrow: false, font: { size: 13, color: colour("danger") }, bgcolor: colour("sheet") })),
  });

  Chart.draw("winter-chart", traces, layout);
})();
