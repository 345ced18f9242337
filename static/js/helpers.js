/* Choosing a list's tasks: a whole group with one box, and how much is picked. And printing. */
(() => {
  "use strict";
  for (const button of document.querySelectorAll("[data-prints]")) {
    button.hidden = false;
    button.addEventListener("click", () => window.print());
  }

  const form = document.getElementById("picks");
  if (!form) return;
  const told = document.getElementById("picked");
  const boxes = [...form.querySelectorAll("[name=tasks]")];

  const groups = [...form.querySelectorAll(".pick-group")].map((group) => ({
    all: group.querySelector("[data-all]"),
    own: [...group.querySelectorAll("[name=tasks]")],
  }));

  function tell() {
    for (const { all, own } of groups) {
      const count = own.filter((box) => box.checked).length;
      all.checked = count === own.length;
      all.indeterminate = count > 0 && count < own.length;
    }
    const picked = boxes.filter((box) => box.checked);
    const minutes = picked.reduce(
      (sum, box) => sum + parseInt(box.closest("li").querySelector(".min").textContent, 10), 0);
    told.textContent = picked.length
      ? `${picked.length} task${picked.length > 1 ? "s" : ""}, ${minutes} min` : "";
  }

  for (const { all, own } of groups) {
    all.addEventListener("change", () => {
      for (const box of own) box.checked = all.checked;
      tell();
    });
  }
  form.addEventListener("change", tell);
  window.addEventListener("pageshow", tell);
  tell();
})();
