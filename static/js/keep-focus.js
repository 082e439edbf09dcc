// Keeps the keyboard where it was when htmx replaces a part of the page: never back to the top.
//
// First the element with the same id; then, after a delete, the next row (or the one before); then the nearest
// part of the page that stayed and can take the focus; last the page's heading.
(() => {
  "use strict";
  const FOCUSABLE = "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]";
  let before = null;

  const nowhere = () => !document.activeElement || document.activeElement === document.body;

  const visible = (elt) => elt.isConnected && elt.getClientRects().length > 0 && !elt.disabled;

  const rowsAround = (row) => {
    const found = [];
    for (let next = row.nextElementSibling; next; next = next.nextElementSibling) found.push(next);
    for (let last = row.previousElementSibling; last; last = last.previousElementSibling) found.push(last);
    return found.map((elt) => elt.id || elt);
  };

  const firstIn = (elt, column) => {
    const line = elt.rows ? elt.rows[0] : elt;
    const cell = column >= 0 && line.cells ? line.cells[column] : null;
    const places = [...(cell ? cell.querySelectorAll(FOCUSABLE) : []), ...elt.querySelectorAll(FOCUSABLE)];
    return places.find(visible) || (elt.matches(FOCUSABLE) ? elt : null);
  };

  const remember = () => {
    if (nowhere()) return;
    const elt = document.activeElement;
    const row = elt.closest("#rows > tbody") || elt.closest("tr, li, article");
    const around = [];
    for (let up = elt.parentElement; up && up !== document.body; up = up.parentElement) around.push(up);
    const cell = elt.closest("td, th");
    before = { id: elt.id, rows: row ? rowsAround(row) : [], column: cell ? cell.cellIndex : -1, around };
  };

  const find = () => {
    const same = before.id && document.getElementById(before.id);
    // A day of the overview is a stop while it is empty; afterwards its session is.
    if (same && visible(same)) return same.matches(FOCUSABLE) ? same : firstIn(same, -1) || same;
    for (const name of before.rows) {
      const row = typeof name === "string" ? document.getElementById(name) : name;
      const place = row && row.isConnected && firstIn(row, before.column);
      if (place) return place;
    }
    const part = before.around.find((elt) => elt.isConnected && elt.matches("[tabindex]") && elt.id !== "work");
    return part || document.getElementById("page-heading");
  };

  const restore = () => {
    if (!before || !nowhere()) return;
    const place = find();
    if (place) place.focus({ preventScroll: place.id === "page-heading" });
  };

  document.addEventListener("htmx:beforeSwap", remember);
  document.addEventListener("htmx:oobBeforeSwap", remember);
  document.addEventListener("htmx:oobAfterSwap", restore);
  document.addEventListener("htmx:afterSwap", restore);
  document.addEventListener("htmx:afterSettle", restore);
  document.addEventListener("htmx:afterRequest", () => {
    restore();
    before = null;
  });
})();
