// The pages where something is chosen for today: with a signal or without one they show what the desk worked out.
//
// Minutes that are offered have their proposal in the page (`data-minutes`). A form that only the desk can answer
// (`data-signal`) is sent from here, so that without a signal the page stays and says why.
(() => {
  "use strict";
  const found = document.getElementById("found");
  const proposal = (minutes) => document.querySelector(`template[data-minutes="${CSS.escape(minutes)}"]`);

  const propose = (minutes) => {
    found.replaceChildren(...[...proposal(minutes).content.cloneNode(true).children].filter((one) => !one.dataset.lift));
    for (const button of document.querySelectorAll("button[name=minutes]"))
      button.setAttribute("aria-pressed", String(button.value === minutes));
    found.tabIndex = -1;
    found.focus();
  };

  const say = (words) => {
    const error = document.getElementById("refused") || document.createElement("p");
    Object.assign(error, { id: "refused", className: "error", textContent: words });
    error.setAttribute("role", "alert");
    document.querySelector("h1").after(error);
  };

  const ask = async (form, button) => {
    const body = new URLSearchParams(new FormData(form, button));
    const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin" });
    if (answer.redirected) location.assign(answer.url);
    else document.querySelector("main").replaceWith(
      new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("main"));
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.matches("form[data-signal]")) {
      event.preventDefault();
      ask(form, event.submitter).catch(() => say(form.dataset.signal));
      return;
    }
    const minutes = found && form.method === "get" && new FormData(form, event.submitter).get("minutes");
    if (!minutes || !proposal(minutes)) return;
    event.preventDefault();
    propose(minutes);
  });

  // A kept page is the same for every number of minutes.
  const asked = new URLSearchParams(location.search).get("minutes");
  if (!found || !document.documentElement.dataset.kept) return;
  if (asked && proposal(asked)) propose(asked);
  else if (asked) say("A number of your own needs a signal; choose one of these.");
  const hint = Object.assign(document.createElement("p"), { className: "hint" });
  hint.textContent = "Worked out when this page was kept: sets done since then are counted as still to do.";
  document.querySelector("h1").after(hint);
})();
