// Asks before the page is left while a change has not reached the desk (connection lost, or still on its way).
(() => {
  "use strict";
  window.addEventListener("beforeunload", (event) => {
    const status = document.getElementById("save-status");
    if (status && ["lost", "saving"].includes(status.dataset.state)) event.preventDefault();
  });
})();
