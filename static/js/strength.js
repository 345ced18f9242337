// Says the slider's figure in words while it moves; the list follows when it is let go.
(() => {
  "use strict";
  const words = (n) => (n === 0 ? "none at all" : n === 50 ? "half" : n === 100 ? "as usual" : `${n} %`);
  const say = (slider) => {
    const place = document.getElementById(slider.dataset.words);
    if (place) place.textContent = words(Number(slider.value));
  };
  document.addEventListener("input", (event) => {
    if (event.target.matches?.("input[type=range]")) say(event.target);
  });
  for (const slider of document.querySelectorAll("input[type=range]")) say(slider);
})();
