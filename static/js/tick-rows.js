// Ticking rows in form[data-tick-rows]: up and down go from box to box, Shift with a click or Space ticks the rows
// between, and [data-tick-count] says how many are ticked.
(() => {
  "use strict";
  let last = null;

  const boxes = (form) => [...form.querySelectorAll("tbody input[type=checkbox]")];

  const count = (form) => {
    const place = form.querySelector("[data-tick-count]");
    const ticked = boxes(form).filter((box) => box.checked).length;
    if (place) place.textContent = ticked ? `${ticked} ticked` : "";
  };

  const formOf = (elt) => (elt.matches && elt.matches("tbody input[type=checkbox]") ? elt.closest("form[data-tick-rows]") : null);

  document.addEventListener("click", (event) => {
    const form = formOf(event.target);
    if (!form) return;
    const all = boxes(form);
    const from = all.indexOf(last);
    const to = all.indexOf(event.target);
    if (event.shiftKey && from >= 0) {
      for (let i = Math.min(from, to); i <= Math.max(from, to); i += 1) all[i].checked = event.target.checked;
    }
    last = event.target;
    count(form);
  });

  document.addEventListener("change", ({ target }) => {
    const form = formOf(target);
    if (form) count(form);
  });

  document.addEventListener("keydown", (event) => {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    const form = step && formOf(event.target);
    if (!form || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    const all = boxes(form);
    const next = all[all.indexOf(event.target) + step];
    if (next) next.focus();
  });

  document.addEventListener("htmx:afterSettle", () => document.querySelectorAll("form[data-tick-rows]").forEach(count));
})();
