// Up, down, Home and End go over the rows of table[data-rows] by each row's first link; Enter opens it as any link.
// Where rows have tick boxes, left goes from the link to the row's box and right back to the link.
(() => {
  "use strict";

  const links = (table) =>
    [...table.tBodies].flatMap((body) => [...body.rows].map((row) => row.querySelector("a[href]")).filter(Boolean));

  const STEPS = { ArrowDown: (at) => at + 1, ArrowUp: (at) => at - 1, Home: () => 0, End: (at, last) => last };

  document.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const row = event.target.closest("table[data-rows] tbody tr");
    const box = row && row.querySelector("input[type=checkbox]");
    const link = row && row.querySelector("a[href]");
    const to = { ArrowLeft: event.target === link ? box : null, ArrowRight: event.target === box ? link : null }[event.key];
    if (!to) return;
    event.preventDefault();
    to.focus();
  });

  document.addEventListener("keydown", (event) => {
    const step = STEPS[event.key];
    if (!step || event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    const from = event.target;
    const region = from.matches("[role=region]") ? from : null;
    const table = region ? region.querySelector("table[data-rows]") : from.closest("table[data-rows]");
    if (!table || !(region || from.matches("tbody a[href]"))) return;
    const all = links(table);
    if (!all.length) return;
    const row = from.closest("tr");
    const at = row ? all.findIndex((link) => row.contains(link)) : -1;
    if (region && event.key !== "ArrowDown") return;
    event.preventDefault();
    all[Math.max(0, Math.min(all.length - 1, step(at, all.length - 1)))].focus();
  });
})();
