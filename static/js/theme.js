/* Runs before the page is drawn, so that a choice kept on this device never flashes. */
(() => {
  "use strict";
  const root = document.documentElement;
  const kept = (name) => {
    try {
      return localStorage.getItem(`evenhouse.${name}`);
    } catch {
      return null; // storage may be forbidden; the page then follows the member's own setting
    }
  };

  function apply() {
    const theme = kept("theme");
    if (theme === "light" || theme === "dark") root.dataset.theme = theme;
    const hand = kept("hand");
    if (hand) root.classList.toggle("mirrored", hand === "left");
  }

  window.evenhouse = { kept, apply };
  apply();
})();
