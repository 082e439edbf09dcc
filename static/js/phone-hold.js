// A watch beside timed work: it counts up from the tap on Start, against the time it began, and puts the seconds held
// into the field. Start and stop are two taps; without this script the seconds are typed.
(() => {
  "use strict";
  let running = null; // { input id, began }

  const stop = () => {
    const input = document.getElementById(running.id);
    if (input) {
      input.value = String(Math.max(1, Math.round((Date.now() - running.began) / 1000)));
      input.dispatchEvent(new Event("input", { bubbles: true }));
    }
    running = null;
    draw();
  };

  const start = (input) => {
    running = { id: input.id, began: Date.now() };
    draw();
  };

  function draw() {
    for (const button of document.querySelectorAll("button.hold")) {
      const own = running && button.dataset.hold === running.id;
      button.textContent = own ? `Stop at ${Math.round((Date.now() - running.began) / 1000)} s` : "Start the watch";
    }
  }

  const add = () => {
    for (const input of document.querySelectorAll("input[data-timed='seconds']")) {
      const form = input.closest("form");
      if (form.querySelector("button.hold")) continue;
      const button = document.createElement("button");
      button.type = "button";
      button.className = "hold wide";
      button.id = `${input.id}-hold`;
      button.dataset.hold = input.id;
      button.addEventListener("click", () => (running && running.id === input.id ? stop() : start(input)));
      input.closest(".fields").after(button);
    }
    draw();
  };

  document.addEventListener("phone-drawn", add);
  setInterval(() => running && draw(), 250);
  add();
})();
