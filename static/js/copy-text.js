// A button with data-copy="id" copies the text of that element and says so in the status beside it.
// Without a clipboard (plain http away from localhost) it selects the text, to be copied by hand.
(() => {
  "use strict";
  document.addEventListener("click", async (event) => {
    const button = event.target.closest("[data-copy]");
    if (!button) return;
    const source = document.getElementById(button.dataset.copy);
    const status = button.parentElement.querySelector("[role=status]");
    try {
      await navigator.clipboard.writeText(source.textContent.trim());
      status.textContent = "Copied.";
    } catch {
      getSelection().selectAllChildren(source);
      status.textContent = "Selected: copy it with the keyboard or the menu.";
    }
  });
})();
