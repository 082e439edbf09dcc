// Keys inside table[data-cells] (the editor's, data-cells="grid", has its own in grid.js): Enter and Ctrl+Enter save the row (with data-cells="sheet" one form holds all rows:
// Enter goes down, Ctrl+Enter saves), Esc brings the saved value back, up and down
// go to the same column of the next row. Letters are never shortcuts: they are typed.
(() => {
  "use strict";

  const restore = (cell) => {
    if (cell.tagName === "SELECT") {
      for (const option of cell.options) option.selected = option.defaultSelected;
    } else if (cell.type === "checkbox" || cell.type === "radio") {
      cell.checked = cell.defaultChecked;
    } else {
      cell.value = cell.defaultValue;
    }
  };

  const nextInColumn = (cell, step) => {
    const at = cell.closest("td, th");
    let row = at.parentElement;
    const rows = [...row.closest("table").rows];
    for (let i = rows.indexOf(row) + step; i >= 0 && i < rows.length; i += step) {
      row = rows[i];
      const place = row.cells[at.cellIndex];
      const found = place && place.querySelector(".cell:not(:disabled)");
      if (found) return found;
    }
    return null;
  };

  // data-after on the table: the id of what comes behind its last row.
  const move = (cell, step) => {
    const behind = step > 0 ? document.getElementById(cell.closest("table").dataset.after) : null;
    const next = nextInColumn(cell, step) || behind;
    if (!next) return;
    next.focus();
    if (next.select) next.select();
  };

  document.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (event.isComposing || event.altKey || event.metaKey || !cell.matches("table[data-cells]:not([data-cells=grid]) .cell")) return;
    const many = cell.tagName === "TEXTAREA";
    const list = cell.tagName === "SELECT";
    if (event.key === "Enter" && !event.shiftKey && (event.ctrlKey || !(many || list))) {
      event.preventDefault();
      // One form over a whole sheet: a stray Enter must not send it half typed.
      if (cell.closest("table").dataset.cells === "sheet" && !event.ctrlKey) move(cell, 1);
      else if (cell.form) cell.form.requestSubmit();
    } else if (event.key === "Escape") {
      event.preventDefault();
      restore(cell);
    } else if (!list && !many && !event.ctrlKey && !event.shiftKey && event.key === "ArrowDown") {
      event.preventDefault();
      move(cell, 1);
    } else if (!list && !many && !event.ctrlKey && !event.shiftKey && event.key === "ArrowUp") {
      event.preventDefault();
      move(cell, -1);
    }
  });
})();
