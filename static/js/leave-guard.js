// Asks before the page is left while a change has not reached the desk (connection lost, or still on its way).
(() => {
  "use strict";
  window.addEventListener("beforeunload", (event) => {
    const status = document.getElementById("save-status");
    const unsaved = status && ["lost", "saving"].includes(status.dataset.state);
    if (unsaved || document.documentElement.dataset.waiting) event.preventDefault();
  });
})();
