/* A tick answers at once, carries an id made here, and comes back with a sentence if it failed. */
(() => {
  "use strict";

  /* A random UUID (RFC 9562, version 4) that also works where the page came by plain http. */
  function uuid() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  const isChange = (element) => element?.matches?.("button[form=ticks]") ?? false;
  const isTick = (element) => isChange(element) && element.matches(".tick[aria-checked=false]");

  function count(minutes) {
    const figure = document.getElementById("to-go");
    if (figure) figure.textContent = Math.max(0, Number(figure.textContent) + minutes);
  }

  function counts(row) {
    return ["s-overdue", "s-today"].includes(row.closest("section")?.getAttribute("aria-labelledby"));
  }

  function fill(row, button) {
    button.setAttribute("aria-checked", "true");
    row.classList.add("done", "sending");
    row.classList.remove("open", "late");
    row.dataset.was = row.querySelector(".sub")?.innerHTML ?? "";
    const sub = row.querySelector(".sub");
    if (sub) sub.textContent = "Done";
    if (counts(row)) count(-parseInt(row.querySelector(".min").textContent, 10));
  }

  function empty(row) {
    if (!row.classList.contains("sending")) return;
    row.querySelector(".tick")?.setAttribute("aria-checked", "false");
    row.classList.remove("done", "sending");
    row.classList.add("open");
    const sub = row.querySelector(".sub");
    if (sub) sub.innerHTML = row.dataset.was;
    if (sub?.querySelector("b")) row.classList.add("late");
    if (counts(row)) count(parseInt(row.querySelector(".min").textContent, 10));
  }

  function keep(ctx) {
    const row = ctx.sourceElement.closest(".row");
    ctx.kept = window.evenhouse.keepTick?.({
      url: ctx.request.action,
      tick_id: ctx.tickId,
      done_at: ctx.doneAt,
      row: row.id,
      name: row.querySelector("a, b")?.textContent ?? "",
    });
    if (!ctx.kept) {
      empty(row);
      window.evenhouse.say("No network, and nothing can be kept on this device. Tick again later.");
    }
  }

  document.addEventListener("htmx:config:request", (event) => {
    const { ctx } = event.detail;
    if (!isChange(ctx.sourceElement)) return;
    ctx.request.action = ctx.sourceElement.getAttribute("formaction");
    ctx.tickId = uuid();
    ctx.doneAt = new Date().toISOString();
    ctx.isTick = isTick(ctx.sourceElement);
    ctx.rowId = ctx.sourceElement.closest(".row").id;
    ctx.request.body.set("tick_id", ctx.tickId);
    ctx.request.body.set("done_at", ctx.doneAt);
  });

  document.addEventListener("htmx:before:request", (event) => {
    const { ctx } = event.detail;
    if (!ctx.isTick) return;
    const row = ctx.sourceElement.closest(".row");
    fill(row, ctx.sourceElement);
    if (navigator.onLine === false) {
      event.preventDefault();
      keep(ctx);
    }
  });

  /* Touching a tick that is only kept here takes it back. */
  document.addEventListener("click", (event) => {
    const button = event.target.closest?.(".row.sending .tick");
    if (!button) return;
    event.preventDefault();
    event.stopPropagation();
    if (window.evenhouse.forgetTick?.(button.getAttribute("formaction"))) empty(button.closest(".row"));
  }, true);

  document.addEventListener("htmx:error", (event) => {
    const { ctx } = event.detail;
    if (!ctx?.isTick || ctx.response) return;
    keep(ctx);
  }, true);

  document.addEventListener("htmx:response:error", (event) => {
    const { ctx } = event.detail;
    const row = ctx.sourceElement.closest?.(".row");
    if (ctx.isTick && row) empty(row);
  });

  /* Whoever works by keyboard stays on the row that they changed. */
  document.addEventListener("htmx:after:swap", (event) => {
    const row = document.getElementById(event.detail.ctx.rowId);
    if (!row || (document.activeElement && document.activeElement !== document.body)) return;
    const does = row.querySelector(".tick") ?? row.querySelector(".take, .undo");
    does?.focus({ preventScroll: true });
  });

  Object.assign(window.evenhouse, { fill, empty });
})();
