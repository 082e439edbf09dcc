// Moving and copying by pointer and by key in the editor: what every button behind More and under a session does too.
//
// Pointer: an exercise by its .grip onto another row or onto a session of the overview; a session onto another day.
// With Ctrl or Alt held when it is let go, a copy stands there. Keys, in the table that has the focus: Shift Alt and
// an arrow moves the exercise or the session; on a session Ctrl C and Ctrl V copy it to a day, Delete deletes it.
(() => {
  "use strict";
  let dragged = null; // { url, row } of an exercise, { url, session } of a session
  let copied = null; // { url, name } of a session

  const say = (words) => {
    const place = document.getElementById("changed");
    if (place) place.textContent = words;
  };

  const send = (url, values) => {
    const opened = document.querySelector(".session.is-open");
    const looking = new URLSearchParams(location.search).get("for");
    const rest = { ...(opened && !values.session ? { session: opened.id.slice(2) } : {}), ...(looking ? { for: looking } : {}) };
    const source = document.getElementById("editor");
    window.htmx.ajax("POST", url, { source, target: "#editor", swap: "outerHTML", values: { ...rest, ...values } }).catch(() => {});
  };

  const rowsOf = (row) => [...row.parentElement.tBodies];

  const dayOf = (place) => {
    const at = place.closest("table.programme tbody td");
    if (!at) return null;
    const week = at.closest("table").querySelectorAll(".week-no")[at.cellIndex - 1];
    return { week_no: week.id.replace("week-", ""), day: at.parentElement.sectionRowIndex, at };
  };

  const targetOf = (event) => {
    if (!dragged) return null;
    if (dragged.session) {
      const day = dayOf(event.target);
      return day && day.at;
    }
    return event.target.closest("#rows > tbody, .session");
  };

  const below = (event, elt) => {
    const box = elt.getBoundingClientRect();
    return event.clientY > box.top + box.height / 2;
  };

  const mark = (elt, event) => {
    for (const old of document.querySelectorAll(".drop-here, .drop-before, .drop-after")) old.classList.remove("drop-here", "drop-before", "drop-after");
    if (!elt) return;
    if (elt.tagName === "TBODY") elt.classList.add(below(event, elt) ? "drop-after" : "drop-before");
    else elt.classList.add("drop-here");
  };

  const dropExercise = (target, event, copy) => {
    if (target.matches(".session")) return send(dragged.url, { session: target.id.slice(2), ...copy });
    const rows = rowsOf(target);
    const from = rows.indexOf(dragged.row);
    let to = rows.indexOf(target) + (below(event, target) ? 1 : 0);
    if (!copy.copy && from >= 0 && from < to) to -= 1;
    if (copy.copy || from !== to) send(dragged.url, { position: to + 1, ...copy });
  };

  document.addEventListener("dragstart", (event) => {
    const handle = event.target instanceof Element ? event.target.closest("[data-place]") : null;
    if (!handle) return;
    const row = handle.closest("#rows > tbody");
    dragged = row ? { url: handle.dataset.place, row } : { url: handle.dataset.place, session: handle };
    event.dataTransfer.effectAllowed = "copyMove";
    event.dataTransfer.setData("text/plain", (row ? row.querySelector("select").selectedOptions[0].text : handle.querySelector("h3").textContent).trim());
  });

  document.addEventListener("dragover", (event) => {
    const target = targetOf(event);
    mark(target, event);
    if (!target) return;
    event.preventDefault();
    event.dataTransfer.dropEffect = event.ctrlKey || event.altKey ? "copy" : "move";
  });

  document.addEventListener("drop", (event) => {
    const target = targetOf(event);
    if (!target) return;
    event.preventDefault();
    const copy = event.ctrlKey || event.altKey ? { copy: 1 } : {};
    if (dragged.row) dropExercise(target, event, copy);
    else {
      const { week_no, day } = dayOf(target);
      if (copy.copy || target !== dragged.session.closest("td")) send(dragged.url, { week_no, day, ...copy });
    }
  });

  document.addEventListener("dragend", () => { mark(null); dragged = null; });

  const STEPS = { ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };

  const moveRow = (event, cell) => {
    const button = event.key === "ArrowUp" ? "up" : event.key === "ArrowDown" ? "down" : "";
    const found = button && document.getElementById(`${cell.closest("tbody").id}-${button}`);
    if (!found) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    send(found.form.action, { step: found.value });
  };

  const sessionKey = (event, session, day) => {
    const step = STEPS[event.key];
    if (session && event.shiftKey && event.altKey && step) {
      const week_no = Number(day.week_no) + step[0];
      const to = day.day + step[1];
      if (to >= 0 && to <= 6) send(session.dataset.place, { week_no, day: to });
    } else if (session && event.key === "Delete") send(session.dataset.delete, {});
    else if (session && event.ctrlKey && event.key === "c" && getSelection().isCollapsed) {
      copied = { url: session.dataset.place, name: session.querySelector("h3").textContent.trim() };
      say(`${copied.name} is copied: Ctrl V on a day puts it there.`);
    } else if (copied && event.ctrlKey && event.key === "v") send(copied.url, { week_no: day.week_no, day: day.day, copy: 1 });
    else return;
    event.preventDefault();
    event.stopImmediatePropagation();
  };

  // Ahead of the arrows of grid.js, so that Shift Alt and an arrow does not move the focus as well.
  document.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (event.isComposing || !(cell instanceof Element)) return;
    if (cell.closest("#rows > tbody") && event.shiftKey && event.altKey) return moveRow(event, cell);
    const day = dayOf(cell);
    if (day && document.querySelector("[data-place]")) sessionKey(event, cell.closest(".session[data-place]"), day);
  }, true);
})();
