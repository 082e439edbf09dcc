// Signing in again in another tab changes the CSRF token: a page opened before then sends the present one.
(() => {
  "use strict";
  document.addEventListener("htmx:configRequest", ({ detail }) => {
    const found = document.cookie.split("; ").find((part) => part.startsWith("csrftoken="));
    if (!found) return;
    detail.headers["X-CSRFToken"] = found.slice("csrftoken=".length);
    detail.parameters.delete("csrfmiddlewaretoken");
  });
})();
