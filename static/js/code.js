/* Counts the minutes of a code down; without script the page names the minute it ends. */
(() => {
  "use strict";
  const figure = document.querySelector("[data-seconds]");
  const words = document.querySelector("[data-left]");
  if (!figure) return;
  const end = performance.now() + Number(figure.dataset.seconds) * 1000;

  function show() {
    const left = Math.max(0, Math.round((end - performance.now()) / 1000));
    figure.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
    words.textContent = "minutes left";
    if (!left || !figure.isConnected) clearInterval(beat);
  }

  const beat = setInterval(show, 1000);
  show();
})();
