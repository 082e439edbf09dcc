// Pasting cells of a spreadsheet into table[data-cells=grid]: lines fill down the column, tabs fill to the right.
//
// Every row that changed is sent by its own form, one after another; what a row refuses stands in its cell with the
// reason. A blank leaves its cell as it is. What had no cell, or is no choice of a list, is kept in #paste-left.
(() => {
  "use strict";

  const put = (cell, text) => {
    if (cell.tagName === "SELECT") {
      const word = text.toLowerCase();
      const fits = [...cell.options].find((o) => o.text.toLowerCase() === word) ||
        [...cell.options].find((o) => o.text.toLowerCase().startsWith(word));
      if (fits) cell.value = fits.value;
      return Boolean(fits);
    }
    if (cell.tagName === "INPUT") cell.value = text;
    return cell.tagName === "INPUT";
  };

  const fill = (rows, [r, c], lines) => {
    const left = [];
    const changed = new Set();
    lines.forEach((line, i) => line.split("\t").forEach((value, j) => {
      const text = value.trim();
      if (!text) return;
      const stops = rows[r + i] && rows[r + i][c + j];
      if (stops && put(stops[0], text)) changed.add(stops[0]);
      else left.push(text);
    }));
    return { left, changed: [...changed] };
  };

  const answerTo = (id) => new Promise((resolve) => {
    const heard = ({ detail }) => {
      if (!detail.requestConfig || detail.requestConfig.elt.id !== id) return;
      document.removeEventListener("htmx:afterRequest", heard);
      resolve(detail.xhr ? detail.xhr.status : 0);
    };
    document.addEventListener("htmx:afterRequest", heard);
    setTimeout(() => resolve(0), 15000);
  });

  const keep = (words) => {
    const note = document.getElementById("paste-left");
    if (note) note.textContent = words;
  };

  // One row at a time: the answer to the first must not meet the second on its way.
  const send = async (cells) => {
    const forms = [...new Set(cells.map((cell) => cell.form).filter(Boolean))].map((form) => form.id);
    for (const id of forms) {
      const form = document.getElementById(id);
      if (!form) continue;
      const done = answerTo(id);
      form.requestSubmit();
      await done;
    }
  };

  // A whole session pasted into the line that adds an exercise: one exercise a line, until one is refused.
  const addAll = async (lines) => {
    for (let n = 0; n < lines.length; n += 1) {
      const field = document.getElementById("add-exercise");
      if (!field) return;
      field.value = lines[n];
      const answer = answerTo(field.form.id);
      field.form.requestSubmit();
      const status = await answer;
      await new Promise((resolve) => setTimeout(resolve));
      if (status === 200) continue;
      keep(n + 1 < lines.length ? `Pasted, but not added yet: ${lines.slice(n + 1).join("; ")}` : "");
      return;
    }
  };

  document.addEventListener("paste", (event) => {
    const several = event.target.id === "add-exercise" && event.clipboardData
      ? event.clipboardData.getData("text/plain").split(/\r\n?|\n/).map((line) => line.trim().replace(/\t/g, " ")).filter(Boolean) : [];
    if (several.length > 1) {
      event.preventDefault();
      addAll(several);
      return;
    }
    const grid = window.deskGrid && window.deskGrid.gridOf(event.target);
    const text = event.clipboardData ? event.clipboardData.getData("text/plain").replace(/\r\n?/g, "\n").replace(/\n$/, "") : "";
    if (!grid || !grid.matches("[data-cells=grid]") || !/[\n\t]/.test(text)) return;
    const rows = window.deskGrid.matrix(grid);
    const at = window.deskGrid.find(rows, event.target);
    if (!at) return;
    event.preventDefault();
    const { left, changed } = fill(rows, at, text.split("\n"));
    keep(left.length ? `Pasted, but without a cell to stand in: ${left.join("; ")}` : "");
    send(changed);
  });
})();
