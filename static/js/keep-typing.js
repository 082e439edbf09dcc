// Carries what was typed after a request had left over into the part of the page that its answer replaces.
//
// A row is saved while the coach already types in its next cell: the answer brings the row back as it was sent, so
// every value that differs from what was sent is put into the new control and saved in its turn.
(() => {
  "use strict";
  const CONTROLS = "input[id]:not([type=hidden]):not([type=file]), select[id], textarea[id]";
  let typed = [];

  const ticks = (elt) => elt.type === "checkbox" || elt.type === "radio";

  const value = (elt) => (ticks(elt) ? elt.checked : elt.value);

  const original = (elt) => {
    if (ticks(elt)) return elt.defaultChecked;
    if (elt.tagName !== "SELECT") return elt.defaultValue;
    const chosen = [...elt.options].find((option) => option.defaultSelected) || elt.options[0];
    return chosen ? chosen.value : "";
  };

  const wasSent = (elt, sent) => {
    if (!sent || !elt.name) return false;
    const values = sent.getAll(elt.name);
    return ticks(elt) ? values.includes(elt.value) === elt.checked : values.includes(elt.value);
  };

  const put = (elt, saved) => {
    if (ticks(elt)) elt.checked = saved;
    else elt.value = saved;
  };

  const remember = ({ detail }) => {
    const target = detail.target;
    const sent = detail.requestConfig && detail.requestConfig.formData;
    if (!target || !target.querySelectorAll || detail.shouldSwap === false) return;
    const from = detail.requestConfig && detail.requestConfig.elt;
    const form = from && (from.form || from.closest("form"));
    for (const elt of [target, ...target.querySelectorAll(CONTROLS)]) {
      if (!elt.matches(CONTROLS)) continue;
      const own = !form || elt.form === form;
      if (value(elt) !== original(elt) && !(own && wasSent(elt, sent))) typed.push([elt.id, elt, value(elt)]);
    }
  };

  const restore = () => {
    const list = typed;
    typed = [];
    for (const [id, old, saved] of list) {
      const elt = document.getElementById(id);
      if (!elt || elt === old || value(elt) === saved) continue;
      put(elt, saved);
      if (elt === document.activeElement) elt.dataset.unsent = "";
      else elt.dispatchEvent(new Event("change", { bubbles: true }));
    }
  };

  document.addEventListener("htmx:beforeSwap", remember);
  document.addEventListener("htmx:afterRequest", restore);

  // A control filled by this file has no change of its own to report when it is left: report it.
  document.addEventListener("change", ({ target }) => delete target.dataset.unsent);
  document.addEventListener("focusout", ({ target }) => {
    if (target.dataset.unsent === undefined || !target.isConnected) return;
    delete target.dataset.unsent;
    target.dispatchEvent(new Event("change", { bubbles: true }));
  });
})();
