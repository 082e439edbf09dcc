// Up, down, Home and End go over the rows of table[data-rows] by each row's first link; Enter opens it as any link.
(() => {
  "use strict";

  const links = (table) =>
    [...table.tBodies].flatMap((body) => [...body.rows].map((row) => row.querySelector("a[href]")).filter(Boolean));

  const STEPS = { ArrowDown: (at) => at + 1, ArrowUp: (at) => at - 1, Home: () => 0, End: (at, last) => last };

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
