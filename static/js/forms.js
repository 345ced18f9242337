/* Forms: say when something would be lost, show what matters, go to what is missing. */
(() => {
  "use strict";
  let changed = false;

  document.addEventListener("input", (event) => {
    if (event.target.closest?.("[data-warns]")) changed = true;
  });
  document.addEventListener("submit", () => {
    changed = false;
  });
  document.addEventListener("htmx:after:request", (event) => {
    const { ctx } = event.detail;
    if (ctx.sourceElement.matches?.("[data-warns]")) changed = ctx.response.status >= 400;
  });
  window.addEventListener("beforeunload", (event) => {
    if (changed) event.preventDefault();
  });

  /* A figure that is known already is filled in with a touch. */
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.("[data-fills]");
    const field = button && document.getElementById(button.dataset.fills);
    if (!field) return;
    field.value = button.dataset.with;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
  });

  /* "unit=weeks&repeat=rule,once": all parts must hold; of each part one value is enough. */
  function holds(form, condition) {
    return condition.split("&").every((part) => {
      const [name, values] = part.split("=");
      const given = new FormData(form).getAll(name);
      return values.split(",").some((value) => given.includes(value));
    });
  }

  function showWhatMatters() {
    for (const field of document.querySelectorAll("[data-shown-when]")) {
      const form = field.closest("form");
      const hidden = form && !holds(form, field.dataset.shownWhen);
      field.hidden = hidden && !field.querySelector("[aria-invalid=true]");
    }
  }

  function goToErrors() {
    document.getElementById("errors")?.focus();
  }

  document.addEventListener("change", showWhatMatters);
  document.addEventListener("htmx:after:swap", (event) => {
    showWhatMatters();
    if (event.detail.ctx.response?.status === 422) goToErrors();
  });
  showWhatMatters();
  goToErrors();
})();
