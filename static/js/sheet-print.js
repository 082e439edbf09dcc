// A button with data-print opens the browser's print dialogue.
(() => {
  "use strict";
  document.addEventListener("click", (event) => {
    if (event.target.closest("[data-print]")) window.print();
  });
})();
