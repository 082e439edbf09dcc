// A button below and one above each number, so that a set is changed with one tap: to the next load that can be made
// where `data-near` lists them, else by one (or by 2.5 for a load that nobody planned).
(() => {
  "use strict";
  const number = (text) => Number(text.replace(",", "."));

  const next = (input, way) => {
    const near = input.dataset.near ? input.dataset.near.split("|") : [];
    const at = near.indexOf(input.value.trim());
    if (at >= 0 && near[at + way] !== undefined) return near[at + way];
    const size = input.name === "load" ? 2.5 : input.dataset.timed && input.value >= 20 ? 5 : 1;
    const value = number(input.value || "0");
    return Number.isNaN(value) ? input.value : String(Math.max(0, value + way * size));
  };

  const button = (input, way) => {
    const made = document.createElement("button");
    const label = input.labels[0] ? input.labels[0].textContent.trim() : input.name;
    made.type = "button";
    made.id = `${input.id}-${way < 0 ? "less" : "more"}`;
    made.className = way < 0 ? "less" : "more";
    made.textContent = way < 0 ? "\u2212" : "+";
    made.setAttribute("aria-label", `${way < 0 ? "Less" : "More"}: ${label}`);
    made.addEventListener("click", () => {
      input.value = next(input, way);
      input.dispatchEvent(new Event("input", { bubbles: true }));
    });
    return made;
  };

  const add = () => {
    for (const input of document.querySelectorAll("input[data-near]")) {
      if (input.previousElementSibling && input.previousElementSibling.matches("button")) continue;
      input.before(button(input, -1));
      input.after(button(input, 1));
    }
  };

  document.addEventListener("phone-drawn", add);
  add();
})();
