/* What an answer that is not a fragment means: a redirect, a refusal, a fault, no network. */
(() => {
  "use strict";
  const SENTENCES = {
    403: "This page was too old, so nothing was changed. Open it anew.",
    404: "That is no longer here. Open the page anew.",
    500: "The hub had a problem. Nothing was changed.",
  };
  const toast = document.getElementById("toast");

  function say(sentence) {
    toast.textContent = sentence;
  }

  function hush() {
    toast.textContent = "";
  }

  /* htmx follows redirects unseen: go there instead of swapping that page into a corner. */
  document.addEventListener("htmx:before:response", (event) => {
    const answer = event.detail.ctx.response.raw;
    if (answer.redirected) {
      event.preventDefault();
      location.assign(answer.url);
    }
  });

  /* Only a form comes back in place when refused (422); of other refusals the words are kept. */
  document.addEventListener("htmx:before:swap", (event) => {
    const { ctx, tasks } = event.detail;
    const status = ctx.response?.status ?? 200;
    if (status < 400) return;
    const told = tasks.some((task) => task.type === "partial");
    if (status !== 422) {
      const kept = tasks.filter((task) => task.type !== "main");
      tasks.splice(0, tasks.length, ...kept);
    }
    if (!told && status !== 422) say(SENTENCES[status] ?? SENTENCES[500]);
  });

  document.addEventListener("htmx:before:request", hush);
  document.addEventListener("htmx:error", (event) => {
    if (event.detail.ctx && !event.detail.ctx.kept && !event.detail.ctx.response) {
      say("No network. Nothing was changed.");
    }
  });
  toast.addEventListener("click", hush);
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") hush();
  });

  window.evenhouse.say = say;
})();
