// Brings the shown week of the programme into view: its grid is wider than the page.
(() => {
  "use strict";
  const show = () => {
    const head = document.querySelector(".programme .is-shown");
    const region = head && head.closest(".table-region");
    if (!region) return;
    const at = head.offsetLeft;
    const days = region.querySelector("tbody th");
    const hidden = at < region.scrollLeft || at + head.offsetWidth > region.scrollLeft + region.clientWidth;
    if (hidden) region.scrollLeft = at - (days ? days.offsetWidth : 0) - head.offsetWidth;
  };
  show();
  let left = null;
  document.addEventListener("htmx:beforeSwap", ({ target }) => {
    const region = target.querySelector && target.querySelector("#grid-region");
    left = region ? region.scrollLeft : null;
  });
  document.addEventListener("htmx:afterSettle", () => {
    const region = document.getElementById("grid-region");
    if (region && left !== null) region.scrollLeft = left;
    left = null;
    show();
  });
})();
