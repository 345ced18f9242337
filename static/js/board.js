/* The shared screen keeps its clock, asks for news, and comes back to the overview by itself. */
(() => {
  "use strict";
  const ASK_EVERY = 30_000;
  const IDLE = 60_000;
  const board = document.getElementById("board");
  const home = document.querySelector("[data-idle]")?.dataset.idle;
  let touched = performance.now();

  function tell() {
    const clock = board.querySelector("[data-clock]");
    if (!clock) return;
    clock.textContent = new Intl.DateTimeFormat("en-GB", {
      hour: "2-digit", minute: "2-digit", timeZone: board.dataset.zone,
    }).format(new Date());
  }

  function show(text, version) {
    const at = document.activeElement?.closest?.("#board")
      ? document.activeElement.getAttribute("href") : null;
    const undo = board.querySelector(".board-undo");
    const far = [...board.children].map((part) => part.scrollTop);
    board.innerHTML = text;
    [...board.children].forEach((part, place) => { part.scrollTop = far[place] ?? 0; });
    if (undo) board.append(undo);
    board.dataset.version = version;
    if (at) board.querySelector(`a[href="${CSS.escape(at)}"]`)?.focus({ preventScroll: true });
    tell();
  }

  async function ask() {
    if (document.hidden) return;
    let answer;
    try {
      answer = await fetch(location.pathname, {
        headers: { "HX-Request": "true", "If-None-Match": board.dataset.version },
        cache: "no-store",
      });
    } catch {
      return; // no network: what stands here stays, and the next round asks again
    }
    if (answer.redirected || answer.status === 404) location.reload();
    else if (answer.ok) show(await answer.text(), answer.headers.get("ETag") ?? "");
  }

  function rest() {
    if (performance.now() - touched < IDLE) return;
    touched = performance.now();
    if (document.querySelector(".safe")) return; // what to do in danger stays, as long as it takes
    if (home) location.assign(home);
    else for (const part of [document.scrollingElement, ...board.children]) part.scrollTo({ top: 0 });
  }

  function endUndo() {
    const undo = board.querySelector(".board-undo");
    if (!undo) return;
    history.replaceState(history.state, "", location.pathname);
    setTimeout(() => undo.remove(), Number(undo.dataset.seconds) * 1000);
  }

  /* Keeps the screen lit; only where the page came by https, and only while it is seen. */
  async function stayLit() {
    if (document.hidden) return;
    try {
      await navigator.wakeLock?.request("screen");
    } catch {
      // the device may say no, for example when its battery is low
    }
  }

  for (const event of ["pointerdown", "keydown", "scroll"]) {
    addEventListener(event, () => { touched = performance.now(); }, { passive: true, capture: true });
  }
  setInterval(rest, 1000);
  if (!board) return;
  tell();
  endUndo();
  stayLit();
  setInterval(tell, 1000);
  setInterval(ask, ASK_EVERY);
  document.addEventListener("visibilitychange", () => {
    stayLit();
    ask();
  });
})();
