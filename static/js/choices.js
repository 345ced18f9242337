/* Light or dark, and the hand that ticks: kept on this device. */
(() => {
  "use strict";
  for (const group of document.querySelectorAll("[data-choice]")) {
    const key = `evenhouse.${group.dataset.choice}`;
    let value = null;
    try {
      value = localStorage.getItem(key);
    } catch {
      continue; // nothing can be kept here, so nothing is offered
    }
    group.hidden = false;
    const radio = [...group.querySelectorAll("input")].find((each) => each.value === value);
    if (radio) radio.checked = true;
    group.addEventListener("change", (event) => {
      if (event.target.value) {
        localStorage.setItem(key, event.target.value);
        window.evenhouse.apply();
      } else {
        localStorage.removeItem(key);
        location.reload();
      }
    });
  }
})();
