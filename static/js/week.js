// The week: dragging, where the focus goes after an action, and what stays open while it changes.
// Without this file every action is a plain form, and the page opens anew.
(() => {
  "use strict";
  let carried = null;
  let open = [];
  let focused = "";

  const body = () => document.getElementById("week");
  const cell = (event) => event.target.closest?.("td[data-member]");
  const token = () => body()?.querySelector("[name=csrfmiddlewaretoken]")?.value;

  document.addEventListener("dragstart", (event) => {
    const task = event.target.closest?.("[data-task]");
    if (!task) return;
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
  document.addEventListener("dragend", () => { carried = null; mark(null); });
  document.addEventListener("drop", (event) => {
    const target = cell(event);
    if (!carried || !target) return;
    event.preventDefault();
    const place = `${target.dataset.member}:${target.dataset.day}`;
    const address = `${location.pathname}tasks/${carried}/put/`;
    carried = null;
    mark(null);
    htmx.ajax("POST", address, {
      source: "#week",
      target: "#week",
      swap: "outerMorph",
      values: { place, csrfmiddlewaretoken: token() },
    });
  });

  function mark(target) {
    for (const other of document.querySelectorAll("td.over-me")) other.classList.remove("over-me");
    target?.classList.add("over-me");
  }

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || event.target.closest?.("select")) return;
    document.querySelector("#chosen [data-focus]")?.click();
  });

  // While a task is being carried, nothing changes under the hand.
  document.addEventListener("htmx:before:request", (event) => {
    const source = event.detail.ctx.sourceElement;
    if (carried && source?.id === "verdict") event.preventDefault();
    if (source?.matches?.(".sharing")) window.evenhouse?.say("Sharing out …");
  });

  document.addEventListener("htmx:before:swap", () => {
    open = [...document.querySelectorAll("#week details[open][id]")].map((each) => each.id);
    focused = document.activeElement?.id ?? "";
  });

  document.addEventListener("htmx:after:swap", (event) => {
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    const source = event.detail.ctx?.sourceElement;
    if (source?.id === "verdict") return goTo(focused, false);
    if (source?.matches?.(".week-days a")) upToTheDay();
    const chosen = document.getElementById("chosen");
    const wanted = body()?.dataset.focus ?? source?.dataset?.focus;
    if (wanted) goTo(wanted, true);
    else if (chosen && source?.matches?.("[id^=t-]")) goTo("chosen", false);
    else goTo(focused, false);
  });

  // Another day on a phone begins at its top.
  function upToTheDay() {
    const table = document.querySelector("table.wk");
    if (table && table.getBoundingClientRect().top < 0) table.scrollIntoView();
  }

  function goTo(id, scroll) {
    const there = id && document.getElementById(id);
    if (!there || there === document.activeElement) return;
    there.closest("details:not([open])")?.setAttribute("open", "");
    there.focus({ preventScroll: !scroll });
  }

  // A page that was opened anew: the chosen task, or what was just moved.
  const asked = decodeURIComponent(location.hash.slice(1));
  if (asked) goTo(asked, true);
  else if (new URLSearchParams(location.search).has("task")) goTo("chosen", true);
})();
