// Draws every element with data-chart="id" from the JSON in <script type="application/json" id="id">.
//
// The JSON is {"data": [traces], "layout": {...}} without colours: each line gets its colour, dash and marker from
// the page's tokens in order, and its name at its end instead of in a legend. A table of the same numbers stands
// below it in the page, so a missing library loses nothing.
(() => {
  "use strict";
  const DASHES = ["solid", "dash", "dot", "dashdot", "longdash"];
  const MARKERS = ["circle", "square", "diamond", "triangle-up", "x"];
  const MISSING = "The chart could not be drawn; the table below has the same numbers.";

  const token = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  const dressed = (trace, index) => {
    const colour = token(`--series-${(index % 5) + 1}`);
    const plain = { ...trace, hoverlabel: { font: { family: token("--sans"), size: 14 } } };
    if (trace.type === "bar") {
      plain.marker = { color: colour, line: { color: token("--ink"), width: 1 }, ...trace.marker };
      return plain;
    }
    plain.mode = trace.mode || "lines+markers";
    plain.line = { color: colour, width: 2, dash: DASHES[index % 5], ...trace.line };
    plain.marker = { color: colour, size: 7, symbol: MARKERS[index % 5], ...trace.marker };
    return plain;
  };

  const names = (traces) =>
    traces
      .filter((trace) => trace.type !== "bar" && trace.name && trace.x && trace.x.length && !trace.quiet)
      .map((trace) => ({
        x: trace.x[trace.x.length - 1],
        y: trace.y[trace.y.length - 1],
        text: trace.name,
        font: { color: trace.line.color },
        bgcolor: token("--paper"),
        showarrow: false,
        xanchor: "left",
        xshift: 8,
      }));

  const axis = (given) => ({
    gridcolor: token("--hairline"),
    linecolor: token("--edge"),
    zerolinecolor: token("--edge"),
    tickfont: { color: token("--muted") },
    automargin: true,
    ...given,
  });

  // Days as they are written everywhere else: 24 Nov on the axis, Tue 24 Nov under the cursor.
  const days = (traces) =>
    traces.some((trace) => /^\d{4}-\d\d/.test(trace.x && trace.x[0]))
      ? { tickformat: "%-d %b", hoverformat: "%a %-d %b", showgrid: false }
      : { showgrid: false };

  const layout = (given, traces) => ({
    ...given,
    paper_bgcolor: "rgba(0,0,0,0)",
    plot_bgcolor: "rgba(0,0,0,0)",
    font: { family: token("--sans"), size: 12, color: token("--ink") },
    margin: { l: 48, r: 96, t: 16, b: 40 },
    showlegend: traces.filter((trace) => trace.type === "bar").length > 1,
    hovermode: "x unified",
    hoverlabel: { bgcolor: token("--paper"), bordercolor: token("--edge") },
    xaxis: axis({ ...days(traces), ...given.xaxis }),
    yaxis: axis(given.yaxis),
    annotations: [...(given.annotations || []), ...names(traces)],
  });

  const missing = (place) => {
    const words = document.createElement("p");
    words.className = "chart-missing";
    words.textContent = MISSING;
    place.removeAttribute("role");
    place.replaceChildren(words);
  };

  const draw = async (place) => {
    try {
      const given = JSON.parse(document.getElementById(place.dataset.chart).textContent);
      const traces = given.data.map(dressed);
      const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
      const dress = { ...layout(given.layout || {}, traces), ...(still ? { transition: { duration: 0 } } : {}) };
      await window.Plotly.react(place, traces, dress, { responsive: true, displaylogo: false });
    } catch {
      missing(place);
    }
  };

  const drawAll = () => document.querySelectorAll("[data-chart]").forEach(draw);

  drawAll();
  document.addEventListener("htmx:afterSettle", ({ target }) => target.querySelectorAll("[data-chart]").forEach(draw));
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);
})();
