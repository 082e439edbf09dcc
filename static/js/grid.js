// One table[data-cells=grid] or table.programme as a grid: one tab stop, arrows between cells, Enter or F2 to edit.
//
// A cell is a control inside a td or th (.cell, .cell-stop, a session's link) or, where there is none, the td itself.
// While moving, the whole value is selected, so that typing replaces it; while editing ([data-editing]) the keys
// belong to the control, except Enter, Tab and Esc. Letters are never shortcuts. Without scripts: plain controls.
(() => {
  "use strict";
  const GRIDS = "table[data-cells=grid], table.programme";
  const STOPS = ".cell:not(:disabled), .cell-stop, .session h3 a";
  const REST = "a[href], button, input, select, textarea, summary, [tabindex]";
  const last = new Map(); // id of the grid -> id of the cell that has its tab stop
  let swap = null;

  const gridOf = (elt) => (elt instanceof Element ? elt.closest(GRIDS) : null);
  const isText = (cell) => cell.tagName === "INPUT";
  const isList = (cell) => cell.tagName === "SELECT";

  // Rows of cells, each cell the list of its stops: one, or the sessions of one day.
  const matrix = (grid) =>
    [...grid.querySelectorAll("tbody > tr")]
      .filter((row) => row.getClientRects().length > 0 && !row.matches(".row-details, .row-note"))
      .map((row) =>
        [...row.cells]
          .map((at) => {
            const found = [...at.querySelectorAll(STOPS)];
            return found.length ? found : at.matches("table.programme td") ? [at] : [];
          })
          .filter((stops) => stops.length > 0),
      )
      .filter((row) => row.length > 0);

  const find = (rows, cell) => {
    for (let r = 0; r < rows.length; r += 1) {
      const c = rows[r].findIndex((stops) => stops.includes(cell));
      if (c >= 0) return [r, c, rows[r][c].indexOf(cell)];
    }
    return null;
  };

  const setUp = (grid) => {
    grid.setAttribute("role", "grid");
    if (document.getElementById("grid-words")) grid.setAttribute("aria-describedby", "grid-words");
    const region = grid.closest(".table-region");
    if (region) region.tabIndex = -1;
    const rows = matrix(grid);
    const stops = rows.flat(2);
    const own = stops.find((stop) => stop === document.activeElement);
    const kept = own || stops.find((stop) => stop.id && stop.id === last.get(grid.id)) || first(grid, stops);
    for (const other of grid.querySelectorAll(REST)) if (!other.closest(".row-details, .row-note, .made, form")) other.tabIndex = -1;
    for (const stop of stops) stop.tabIndex = stop === kept ? 0 : -1;
  };

  const first = (grid, stops) => stops.find((stop) => stop.closest(".is-open")) || stops[0];

  const setUpAll = () => document.querySelectorAll(GRIDS).forEach(setUp);

  const edit = (cell, on, caret) => {
    if (!on) return delete cell.dataset.editing;
    cell.dataset.editing = "";
    if (caret && isText(cell)) cell.setSelectionRange(cell.value.length, cell.value.length);
  };

  const go = (cell) => {
    if (!cell) return;
    cell.focus();
    cell.scrollIntoView({ block: "nearest", inline: "nearest" });
    if (isText(cell)) cell.select();
  };

  const restore = (cell) => {
    delete cell.dataset.held;
    const saved = cell.dataset.saved;
    if (isList(cell)) for (const option of cell.options) option.selected = option.defaultSelected;
    else if (isText(cell)) cell.value = saved === undefined ? cell.defaultValue : saved;
    // What was refused is taken back: nothing is wrong with the saved value.
    if (isText(cell) && saved !== undefined) cell.dispatchEvent(new Event("change", { bubbles: true }));
  };

  const step = (rows, [r, c, n], dr, dc) => {
    const stops = rows[r][c];
    if (dr && stops[n + dr]) return stops[n + dr];
    const row = rows[r + dr];
    const there = row && row[Math.max(0, Math.min(c + dc, row.length - 1))];
    if (!there || (dc && c + dc !== Math.max(0, Math.min(c + dc, row.length - 1)))) return null;
    return dr < 0 ? there[there.length - 1] : there[0];
  };

  const along = (rows, [r, c], by) => {
    const flat = rows.flat();
    const at = flat.indexOf(rows[r][c]) + by;
    return flat[at] ? flat[at][0] : null;
  };

  const ends = (rows, [r], event) => {
    const row = event.ctrlKey ? rows[event.key === "Home" ? 0 : rows.length - 1] : rows[r];
    return (event.key === "Home" ? row[0] : row[row.length - 1])[0];
  };

  const ARROWS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

  const open = (cell) => {
    edit(cell, true, true);
    if (!isList(cell) || !cell.showPicker) return;
    try { cell.showPicker(); } catch { /* the browser's own keys open it as well */ }
  };

  const enter = (event, cell, rows, at) => {
    if (cell.tagName === "A" || cell.tagName === "SUMMARY") return; // its own action
    event.preventDefault();
    if (cell.tagName === "TD") return startSession(cell);
    if (cell.dataset.editing === undefined && event.key !== "Tab") return open(cell);
    edit(cell, false);
    const below = step(rows, at, event.shiftKey ? -1 : 1, 0);
    if (below) go(below);
    else if (cell.name === "written" && !event.shiftKey) go(document.getElementById("add-exercise"));
    else { cell.blur(); go(cell); }
  };

  // An empty day: Enter goes to the new session's name with the week and the day filled in.
  const startSession = (cell) => {
    const name = document.getElementById("new-name");
    if (!name) return;
    const set = (id, value) => { const field = document.getElementById(id); if (field) field.value = value; };
    const weeks = [...cell.closest("table").querySelectorAll(".week-no")];
    set("new-day", cell.parentElement.sectionRowIndex);
    set("new-week", weeks[cell.cellIndex - 1].id.replace("week-", ""));
    name.focus();
  };

  const moves = (event, cell, rows, at) => {
    const arrow = ARROWS[event.key];
    if (arrow) return step(rows, at, ...arrow) || cell;
    if (event.key === "Home" || event.key === "End") return ends(rows, at, event);
    if (event.key === "PageDown" || event.key === "PageUp") {
      const row = rows[Math.max(0, Math.min(rows.length - 1, at[0] + (event.key === "PageUp" ? -5 : 5)))];
      return row[Math.min(at[1], row.length - 1)][0];
    }
    return null;
  };

  const onKey = (event) => {
    const cell = event.target;
    const grid = gridOf(cell);
    if (!grid || event.isComposing || event.metaKey) return;
    const rows = matrix(grid);
    const at = find(rows, cell);
    if (!at) return leaveDetails(event, cell);
    const editing = cell.dataset.editing !== undefined;
    if (event.ctrlKey && event.key.toLowerCase() === "z" && !editing) return turn(event, event.shiftKey ? "redo" : "undo");
    if (event.key === "Tab") {
      edit(cell, false);
      const next = along(rows, at, event.shiftKey ? -1 : 1);
      if (next && grid.dataset.cells) { event.preventDefault(); go(next); }
    } else if (event.key === "Escape") {
      event.preventDefault();
      restore(cell);
      edit(cell, false);
      if (isText(cell)) cell.select();
    } else if (isList(cell) && (event.key === " " || (event.altKey && event.key.startsWith("Arrow")))) {
      edit(cell, true);
    } else if (event.altKey) {
      return;
    } else if (event.key === "Enter" || (event.key === "F2" && !editing)) {
      if (isList(cell) && editing) return edit(cell, false);
      enter(event, cell, rows, at);
    } else if (!editing || (isText(cell) && (event.key === "ArrowUp" || event.key === "ArrowDown"))) {
      const next = moves(event, cell, rows, at);
      if (!next) return startTyping(event, cell);
      event.preventDefault();
      edit(cell, false);
      go(next);
    }
  };

  // Undo of the programme, not of the text: only while no cell is edited.
  const turn = (event, name) => {
    const button = document.getElementById(name);
    event.preventDefault();
    if (button && !button.disabled) button.click();
  };

  const startTyping = (event, cell) => {
    if (isText(cell) && (event.key.length === 1 || event.key === "Backspace" || event.key === "Delete") && !event.ctrlKey) edit(cell, true);
  };

  // Behind More the controls are a form of their own; Esc comes back to the row.
  const leaveDetails = (event, cell) => {
    if (event.key !== "Escape" || !cell.closest(".row-details")) return;
    event.preventDefault();
    const summary = cell.closest("tbody").querySelector(".row-more > summary");
    summary.parentElement.open = false;
    go(summary);
  };

  document.addEventListener("keydown", onKey);
  document.addEventListener("pointerdown", ({ target }) => {
    if (target.matches("table[data-cells=grid] .cell")) edit(target, true);
  });
  // Text that comes without a key (dictation, a pasted word) begins an edit too.
  document.addEventListener("input", ({ target }) => { if (isText(target) && gridOf(target)) edit(target, true); });
  // Letters typed on a closed list choose at each letter; the row is saved once, when the list is left.
  let typing = null;
  document.addEventListener("keydown", ({ target, key, ctrlKey }) => {
    typing = isList(target) && gridOf(target) && key.length === 1 && key !== " " && !ctrlKey ? target : null;
  }, true);
  document.addEventListener("change", (event) => {
    const cell = event.target;
    if (!event.isTrusted || !isList(cell) || !gridOf(cell)) return;
    if (cell === typing && cell.dataset.editing === undefined) {
      cell.dataset.held = "";
      event.stopImmediatePropagation();
    } else edit(cell, false);
  }, true);
  const release = (cell) => {
    if (cell.dataset.held === undefined) return;
    delete cell.dataset.held;
    cell.dispatchEvent(new Event("change", { bubbles: true }));
  };
  document.addEventListener("focusin", ({ target }) => {
    const grid = gridOf(target);
    if (!grid || !matrix(grid).flat(2).includes(target)) return;
    if (target.id) last.set(grid.id, target.id);
    if (isText(target) && target.dataset.editing === undefined && !(swap && swap.id === target.id)) target.select();
    for (const other of grid.querySelectorAll("[tabindex='0']")) if (!other.closest(".row-details, .row-note, .made, form")) other.tabIndex = -1;
    target.tabIndex = 0;
  });
  document.addEventListener("focusout", ({ target }) => {
    if (swap || !gridOf(target)) return;
    edit(target, false);
    release(target);
  });
  document.addEventListener("toggle", ({ target }) => {
    if (!target.matches || !target.matches(".row-more[open]") || !target.contains(document.activeElement)) return;
    target.closest("tbody").querySelector(".row-details input").focus();
  }, true);

  // A swap must neither end an edit nor close what was opened.
  const remember = () => {
    if (swap) return;
    const cell = document.activeElement;
    const editing = gridOf(cell) && cell.dataset.editing !== undefined;
    swap = {
      id: editing ? cell.id : "",
      from: editing && isText(cell) ? cell.selectionStart : null,
      to: editing && isText(cell) ? cell.selectionEnd : null,
      open: [...document.querySelectorAll("#editor details[open], #effects details[open]")].map((d) => d.id),
    };
  };
  const bringBack = () => {
    for (const id of swap ? swap.open : []) {
      const details = id && document.getElementById(id);
      if (details && !details.open) details.open = true;
    }
    setUpAll();
  };
  const resume = () => {
    if (!swap) return;
    bringBack();
    const cell = swap.id && document.getElementById(swap.id);
    const { from, to } = swap;
    swap = null;
    if (!cell || cell !== document.activeElement) return;
    edit(cell, true);
    if (from !== null) cell.setSelectionRange(from, to);
  };
  document.addEventListener("htmx:beforeSwap", remember);
  document.addEventListener("htmx:oobBeforeSwap", remember);
  document.addEventListener("htmx:afterSwap", bringBack);
  document.addEventListener("htmx:afterSettle", bringBack);
  document.addEventListener("htmx:afterRequest", resume);
  setUpAll();
  window.deskGrid = { matrix, find, gridOf };
})();
