// A small chart for the page of parts.
"use strict";

Chart.draw(
  "look-chart",
  (colour) => {
    const { days, low, mid, high } = Chart.data("look-chart-data");
    return [
      { x: days, y: low, mode: "lines", line: { width: 0 }, hoverinfo: "skip" },
      { x: days, y: high, mode: "lines", line: { width: 0 }, fill: "tonexty", fillcolor: colour("accent-tint"), hoverinfo: "skip" },
      { x: days, y: mid, mode: "lines+markers", name: "mean MC", line: { width: 3 } },
    ];
  },
  () => ({ yaxis: { title: { text: "MC, %" }, rangemode: "tozero" } }),
);
