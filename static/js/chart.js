// Draws every element with data-chart="id" from the JSON in <script type="application/json" id="id">.
//
// The JSON is {"data": [traces], "layout": {...}} without colours: each line gets its colour, dash and marker from
// the page's tokens in order, and its name beside its end instead of in a legend. Shapes are named 'away' (days away) or
// 'mark' (a day), words 'word'. A table of the same numbers stands below it in the page, so a missing library loses
// nothing. Charts with data-in-step zoom together; [data-whole] shows all of it again. On paper they are redrawn as
// wide as the sheet and no higher than its first page has room for.
(() => {
  "use strict";
  const DASHES = ["solid", "dash", "dot", "dashdot", "longdash"];
  const MARKERS = ["circle", "square", "diamond", "triangle-up", "x"];
  const MISSING = "The chart could not be drawn; the table below has the same numbers.";
  // px: A4 and Letter within their margins; a chart no higher than leaves room for a title on the first page.
  const PAPER = { width: 680, height: 620 };

  const token = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

  const dressed = (trace, index) => {
    const colour = token(`--series-${(index % 5) + 1}`);
    const plain = { ...trace, hoverlabel: { font: { family: token("--sans"), size: 14 } } };
    if (trace.type === "bar") {
      const pattern = index ? { shape: "/", fgcolor: colour, size: 6, solidity: 0.2 } : {};
      plain.marker = { color: `${colour}40`, line: { color: colour, width: 1 }, pattern, ...trace.marker };
      return plain;
    }
    plain.mode = trace.mode || "lines+markers";
    plain.line = { color: colour, width: 2, dash: DASHES[index % 5], ...trace.line };
    plain.marker = { color: colour, size: 7, symbol: MARKERS[index % 5], ...trace.marker };
    for (const bars of ["error_x", "error_y"]) {
      if (trace[bars]) plain[bars] = { color: colour, thickness: 1.5, width: 3, ...trace[bars] };
    }
    return plain;
  };

  // A line's name stands in the margin at the height of its end; one that says `meta: "quiet"` has none.
  const names = (traces) =>
    traces
      .filter((trace) => trace.type !== "bar" && trace.mode !== "markers" && trace.meta !== "quiet" && (trace.x || []).length)
      .map((trace) => ({
        x: 1,
        xref: "paper",
        y: trace.y[trace.y.length - 1],
        yref: trace.yaxis || "y",
        text: trace.name,
        font: { color: trace.line.color },
        showarrow: false,
        xanchor: "left",
        xshift: 4,
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

  const shape = (given) =>
    given.name === "away"
      ? { ...given, fillcolor: token("--hairline"), opacity: 0.5, line: { color: token("--edge"), width: 1, dash: "dot" } }
      : { ...given, line: { color: token("--ink"), width: 1, dash: "dot" } };

  const word = (given) => ({ ...given, font: { color: token("--muted"), size: 12 }, bgcolor: token("--paper") });

  // On a phone every second mark has room, and a finger that drags means to scroll.
  const narrow = (given, width) => {
    if (width >= 480) return given;
    const { tickvals, ...rest } = given.xaxis || {};
    const fewer = tickvals ? { tickvals: tickvals.filter((_, n) => n % 2 === 0) } : {};
    return { ...given, dragmode: false, xaxis: { ...rest, ...fewer } };
  };

  const layout = (given, traces) => ({
    ...given,
    paper_bgcolor: "rgba(0,0,0,0)",
    plot_bgcolor: "rgba(0,0,0,0)",
    font: { family: token("--sans"), size: 12, color: token("--ink") },
    margin: { l: 48, r: 88, t: 24, b: 40 },
    showlegend: given.showlegend || traces.filter((trace) => trace.type === "bar").length > 1,
    hovermode: given.hovermode || "x unified",
    hoverlabel: { bgcolor: token("--paper"), bordercolor: token("--edge") },
    xaxis: axis({ ...days(traces), ...given.xaxis }),
    yaxis: axis(given.yaxis),
    ...(given.yaxis2 ? { yaxis2: axis(given.yaxis2), xaxis: { ...axis({ ...days(traces), ...given.xaxis }), anchor: "y2" } } : {}),
    shapes: (given.shapes || []).map(shape),
    annotations: [...(given.annotations || []).map(word), ...names(traces)],
  });

  const missing = (place) => {
    const words = document.createElement("p");
    words.className = "chart-missing";
    words.textContent = MISSING;
    place.removeAttribute("role");
    place.replaceChildren(words);
  };

  const all = () => [...document.querySelectorAll("[data-chart]")];
  const inStep = () => all().filter((place) => place.dataset.inStep !== undefined && place.layout);
  const whole = () => document.querySelector("[data-whole]");

  // Every chart in step takes the days that were chosen on one of them.
  let follows = false;
  const show = async (range, but) => {
    follows = true;
    const others = inStep().filter((place) => place !== but);
    await Promise.all(others.map((place) => window.Plotly.relayout(place, { "xaxis.range": [...range] })));
    follows = false;
  };

  const zoomed = (place, change) => {
    if (follows) return;
    const from = change["xaxis.range[0]"] || (change["xaxis.range"] || [])[0];
    const to = change["xaxis.range[1]"] || (change["xaxis.range"] || [])[1];
    const range = from && to ? [from, to] : change["xaxis.autorange"] || change.autosize ? null : undefined;
    if (range === undefined) return;
    if (whole()) whole().hidden = !range;
    show(range || place.whole, range ? place : null);
  };

  const draw = async (place) => {
    try {
      const given = JSON.parse(document.getElementById(place.dataset.chart).textContent);
      const traces = given.data.map(dressed);
      const still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
      const dress = { ...layout(narrow(given.layout || {}, place.clientWidth), traces), ...(still ? { transition: { duration: 0 } } : {}) };
      const first = !place.layout;
      // A copy: Plotly writes the days that are zoomed to into the list it was given.
      place.tall = given.layout && given.layout.height;
      place.whole = [...((given.layout && given.layout.xaxis && given.layout.xaxis.range) || [])];
      await window.Plotly.react(place, traces, dress, { responsive: true, displaylogo: false });
      if (first && place.dataset.inStep !== undefined) {
        place.on("plotly_relayout", (change) => zoomed(place, change));
      }
    } catch {
      missing(place);
    }
  };

  const drawAll = () => all().forEach(draw);

  const sized = (place, paper) => {
    const tall = place.tall ? { height: paper ? Math.min(place.tall, paper.height) : place.tall } : {};
    return paper ? { width: paper.width, autosize: false, ...tall } : { width: null, autosize: true, ...tall };
  };

  const onPaper = (paper) => () =>
    all().filter((place) => place.layout).forEach((place) => {
      follows = true;
      window.Plotly.relayout(place, sized(place, paper));
      follows = false;
    });

  drawAll();
  document.addEventListener("click", ({ target }) => {
    if (!target.closest("[data-whole]") || !inStep().length) return;
    target.hidden = true;
    show(inStep()[0].whole);
  });
  document.addEventListener("htmx:afterSettle", ({ target }) => target.querySelectorAll("[data-chart]").forEach(draw));
  window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAll);
  window.addEventListener("beforeprint", onPaper(PAPER));
  window.addEventListener("afterprint", onPaper(null));
})();
