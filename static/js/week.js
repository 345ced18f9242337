// Dragging a task onto a cell of the week: sends the same form as "Put it here".
(() => {
  "use strict";
  let carried = "";
  const cell = (event) => event.target.closest?.("td[data-member]");
  const form = () => document.getElementById("drop");

  document.addEventListener("dragstart", (event) => {
    const task = event.target.closest?.("[data-task]");
    if (!task || !form()) return;
    carried = task.dataset.task;
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", task.innerText);
  });
  document.addEventListener("dragover", (event) => {
    const target = cell(event);
    if (!carried || !target) return;
    event.preventDefault();
    mark(target);
  });
  document.addEventListener("dragend", () => { carried = ""; mark(null); });
  document.addEventListener("drop", (event) => {
    const target = cell(event);
    if (!carried || !target) return;
    event.preventDefault();
    const send = form();
    send.action = `${location.pathname}tasks/${carried}/put/`;
    send.elements.member.value = target.dataset.member;
    send.elements.day.value = target.dataset.day;
    send.submit();
  });

  function mark(target) {
    for (const other of document.querySelectorAll("td.over-me")) other.classList.remove("over-me");
    target?.classList.add("over-me");
  }

  // The chosen task is where the next key press belongs.
  if (location.hash === "#chosen") document.getElementById("chosen")?.focus();
})();
