// Sends what is said without leaving the page, and puts the parts of the page that changed in place.
//
// Without this script every form is a plain one. A part is an element of <main> with an id. Where the
// phone keeps a queue (phone-said.js) it says when that was answered, and the page is drawn anew; else forms are sent
// from here, and `phone-kept` is told once the desk has answered. Until then nothing says 'saved'.
(() => {
  "use strict";
  let running = false;

  const say = (words) => {
    const status = document.getElementById("status");
    if (status) status.textContent = words;
  };

  const parts = (root) => [...root.querySelectorAll("main > [id]")];

  // What is open or typed elsewhere stays: a part is replaced only when the desk drew it otherwise than before.
  const drawn = new Map();
  const plain = (html) => html.replace(/name="(csrfmiddlewaretoken|key)" value="[^"]*"/g, "");
  const note = () => parts(document).forEach((part) => drawn.set(part.id, plain(part.outerHTML)));

  // What was typed in a part since it was drawn goes on into its new drawing, and the focus with it.
  const carry = (old, part) => {
    const typed = [...old.querySelectorAll("input[id]:not([type=hidden]), textarea[id]")];
    const changed = typed.filter((input) => input.value !== input.defaultValue).map(({ id, value }) => [id, value]);
    const focused = old.contains(document.activeElement) ? document.activeElement.id : "";
    old.replaceWith(part);
    for (const [id, value] of changed) if (document.getElementById(id)) document.getElementById(id).value = value;
    if (focused && document.getElementById(focused)) document.getElementById(focused).focus({ preventScroll: true });
  };

  const place = (page) => {
    const fresh = parts(page);
    const ids = fresh.map((part) => part.id).join();
    if (ids !== parts(document).map((part) => part.id).join()) {
      document.querySelector("main").replaceWith(page.querySelector("main"));
      note();
      return;
    }
    for (const part of fresh) {
      const text = plain(part.outerHTML);
      if (text === drawn.get(part.id)) continue;
      carry(document.getElementById(part.id), part);
      drawn.set(part.id, text);
    }
  };

  const show = (id) => window.phoneRows.show(document.getElementById(id));

  const send = async (form, button) => {
    const body = new URLSearchParams(new FormData(form, button));
    const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Phone": "1" }, credentials: "same-origin" });
    const html = await answer.text();
    if (!answer.ok && answer.status !== 422) throw new Error(String(answer.status));
    place(new DOMParser().parseFromString(html, "text/html"));
    const saved = answer.ok;
    document.dispatchEvent(new CustomEvent("phone-drawn"));
    if (saved) document.dispatchEvent(new CustomEvent("phone-kept", { detail: { form } }));
    const error = document.querySelector(".set .error") || document.getElementById("refused") || document.querySelector(".error");
    show(saved ? answer.headers.get("X-Next") : error.closest("[id]").id);
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-entry]")) return;
    event.preventDefault();
    if (running) return;
    running = true;
    send(form, event.submitter)
      .catch(() => say("Not saved: the desk did not answer. What you typed is still here; try again."))
      .finally(() => { running = false; });
  });

  const redraw = async () => {
    const answer = await fetch(location.pathname, { headers: { "X-Phone": "1" }, credentials: "same-origin" });
    if (!answer.ok) return;
    place(new DOMParser().parseFromString(await answer.text(), "text/html"));
    document.dispatchEvent(new CustomEvent("phone-drawn"));
  };

  // No signal again: a second try, and else the page stays as it is; what was answered is off the queue.
  document.addEventListener("phone-answered", () =>
    redraw().catch(() => setTimeout(() => redraw().catch(() => undefined), 2000)));

  note();
})();
