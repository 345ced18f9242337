/* A button that copies what stands in a field. Without script the field can be selected by hand. */
(() => {
  "use strict";
  const toast = document.getElementById("toast");

  function say(words) {
    if (!toast) return;
    toast.textContent = words;
    setTimeout(() => {
      toast.textContent = "";
    }, 4000);
  }

  for (const button of document.querySelectorAll("[data-copies]")) {
    const field = document.getElementById(button.dataset.copies);
    button.hidden = false;
    button.addEventListener("click", async () => {
      field.select();
      try {
        await navigator.clipboard.writeText(field.value);
      } catch {
        /* plain http has no clipboard of its own: the older way still works there */
        if (!document.execCommand("copy")) {
          say("It is marked: copy it with your keyboard or by a long touch.");
          return;
        }
      }
      say("Copied.");
    });
  }
})();
