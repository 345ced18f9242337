/* Handing work over: all at once with one box, how much is picked, and dragging rows onto a name.
   Everything here can also be done without it, by keyboard or by touch. */
(() => {
  "use strict";
  const form = document.getElementById("work");
  if (!form) return;
  const boxes = [...form.querySelectorAll("[name=tasks]")];
  const all = document.getElementById("all");
  const told = document.getElementById("picked");

  function tell() {
    const picked = boxes.filter((box) => box.checked);
    all.checked = picked.length === boxes.length;
    all.indeterminate = picked.length > 0 && !all.checked;
    const minutes = picked.reduce(
      (sum, box) => sum + parseInt(box.closest("li").querySelector(".min").textContent, 10), 0);
    told.textContent = picked.length
      ? `${picked.length} task${picked.length > 1 ? "s" : ""}, ${minutes} min` : "";
  }

  all.closest("label").hidden = false;
  all.addEventListener("change", () => {
    for (const box of boxes) box.checked = all.checked;
    tell();
  });
  form.addEventListener("change", tell);
  window.addEventListener("pageshow", tell);
  tell();

  /* A picked row takes all that is picked along; another one goes alone. */
  form.addEventListener("dragstart", (event) => {
    const row = event.target.closest?.("li.pick");
    if (!row) return;
    const own = row.querySelector("[name=tasks]");
    if (!own.checked) for (const box of boxes) box.checked = box === own;
    tell();
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", row.querySelector("b").textContent);
    for (const box of boxes) if (box.checked) box.closest("li").classList.add("held-up");
  });
  form.addEventListener("dragend", () => {
    for (const row of form.querySelectorAll(".held-up")) row.classList.remove("held-up");
  });

  for (const place of form.querySelectorAll(".give .check")) {
    let inside = 0;
    const mark = (step) => {
      inside = Math.max(0, inside + step);
      place.classList.toggle("under-hand", inside > 0);
    };
    place.addEventListener("dragenter", (event) => {
      event.preventDefault();
      mark(1);
    });
    place.addEventListener("dragleave", () => mark(-1));
    place.addEventListener("dragover", (event) => event.preventDefault());
    place.addEventListener("drop", (event) => {
      event.preventDefault();
      mark(-9);
      place.querySelector("input").checked = true;
      form.requestSubmit(form.querySelector("[name=do][value=hand]"));
    });
  }
})();
