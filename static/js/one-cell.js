// Logging from paper in table[data-cells=sheet]: Enter in a row left blank ticks it as done as written, Shift+Enter
// every blank row of the exercise; a whole set typed in one cell ('80 x 8 @2') is set out in its columns on leaving it.
// The desk reads the same text without this file (programs/logs/forms/lines.py).
(() => {
  "use strict";
  const CELL = "table[data-cells=sheet] .cell";
  const RIR = /^(.*?)\s*(?:@|\brir\b)\s*(\S.*)$/i;
  const LOAD = /^(.*\S)\s*[x\u00d7*]\s*(\d.*)$/i;

  const typedIn = (row) => [...row.querySelectorAll("input.cell, select.cell")].some((cell) => cell.value.trim());

  const tick = (row) => {
    const written = row.querySelector("[data-written]");
    if (written && !typedIn(row)) written.checked = true;
  };

  const column = (row, part) => row.querySelector(`[data-part=${part}]`);

  const put = (cell, text) => {
    if (cell.tagName !== "SELECT") {
      cell.value = text;
      return true;
    }
    const wanted = [...cell.options].find((one) => one.value.toLowerCase() === text.toLowerCase());
    if (wanted) cell.value = wanted.value;
    return Boolean(wanted);
  };

  const setOut = (cell) => {
    const row = cell.closest("tr");
    let text = cell.value.trim();
    const found = {};
    const rir = RIR.exec(text);
    if (rir) [, text, found.rir] = rir;
    const whole = LOAD.exec(text);
    if (whole) [, found.load, text] = whole;
    if (!rir && !whole) return;
    found.reps = text || column(row, "reps").value;
    // What cannot be set out without losing something stays as it was typed; the desk says what is wrong with it.
    const taken = Object.keys(found).some((part) => column(row, part) !== cell && column(row, part).value && column(row, part).value !== found[part]);
    if (taken || (found.load && !put(column(row, "load"), found.load))) return;
    for (const part of ["reps", "rir"]) if (found[part] !== undefined) put(column(row, part), found[part]);
    if (cell.dataset.part === "load" && !found.load) cell.value = "";
  };

  const nextExercise = (body) => {
    for (let next = body.nextElementSibling; next; next = next.nextElementSibling) {
      const cell = next.querySelector("[data-part=reps]");
      if (cell) return cell;
    }
    return document.getElementById(body.closest("table").dataset.after);
  };

  document.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (event.isComposing || event.ctrlKey || event.altKey || event.metaKey || !cell.matches(CELL) || !cell.dataset.part) return;
    const row = cell.closest("tr");
    if (event.key === "Enter" && event.shiftKey) {
      event.preventDefault();
      for (const one of row.parentElement.rows) tick(one);
      nextExercise(row.parentElement).focus();
    } else if (event.key === "Enter") {
      tick(row);
    } else if (["Backspace", "Delete"].includes(event.key) && !typedIn(row)) {
      const written = row.querySelector("[data-written]");
      if (written) written.checked = false;
    }
  }, true);

  document.addEventListener("input", ({ target }) => {
    if (!target.matches(CELL) || !target.dataset.part) return;
    const written = target.closest("tr").querySelector("[data-written]");
    if (written && target.value.trim() && target.dataset.part !== "rir") written.checked = false;
  });

  document.addEventListener("change", ({ target }) => {
    if (target.matches(`${CELL}[data-part]`) && target.tagName === "INPUT" && target.dataset.part !== "rir") setOut(target);
  });

  // Around the table Enter goes on to the next field, as it does inside it; only the last one and Ctrl+Enter send.
  document.addEventListener("keydown", (event) => {
    const { target } = event;
    if (event.key !== "Enter" || event.isComposing || !target.form || target.matches(".cell")) return;
    const next = document.getElementById(target.dataset.enter);
    if (event.ctrlKey && target.form.querySelector("table[data-cells=sheet]")) {
      event.preventDefault();
      target.form.requestSubmit();
    } else if (next) {
      event.preventDefault();
      next.focus();
    }
  });
})();
