/* Ticks that could not be sent yet: kept on this device under the member's own number, each with
   the id and the moment it was made, and sent again when the network is back. Sending one twice
   changes nothing, because the hub knows the id. */
(() => {
  "use strict";
  const member = document.body.dataset.member;
  if (!member) return;
  const KEY = `evenhouse.ticks.${member}`;
  let sending = false;

  function read() {
    try {
      return JSON.parse(localStorage.getItem(KEY)) ?? [];
    } catch {
      return [];
    }
  }

  function write(ticks) {
    try {
      if (ticks.length) localStorage.setItem(KEY, JSON.stringify(ticks));
      else localStorage.removeItem(KEY);
      return true;
    } catch {
      return false;
    }
  }

  function keep(tick) {
    const others = read().filter((each) => each.url !== tick.url);
    const stored = write([...others, tick]);
    show();
    return stored;
  }

  function forget(tick) {
    write(read().filter((each) => each.tick_id !== tick.tick_id));
    show();
  }

  /* The one line under the figure, and the rows that were ticked here. */
  function show() {
    const ticks = read();
    const line = document.getElementById("offline");
    if (line) line.textContent = ticks.length ? "No network. Ticks are kept on this phone." : "";
    for (const tick of ticks) {
      const row = document.getElementById(tick.row);
      const button = row?.querySelector(".tick[aria-checked=false]");
      if (button) window.evenhouse.fill?.(row, button);
    }
  }

  async function send(tick, token) {
    const answer = await fetch(tick.url, {
      method: "POST",
      headers: { "HX-Request": "true", "X-CSRFToken": token },
      body: new URLSearchParams({ tick_id: tick.tick_id, done_at: tick.done_at }),
    });
    if (answer.redirected || answer.status === 403 || answer.status >= 500) return false;
    forget(tick);
    if (answer.ok) replace(tick.row, await answer.text());
    else refused(tick);
    return true;
  }

  function replace(id, text) {
    const row = document.getElementById(id);
    const holder = document.createElement("template");
    holder.innerHTML = text;
    const fresh = holder.content.getElementById(id);
    if (!row || !fresh) return;
    row.replaceWith(fresh);
    window.htmx?.process(fresh);
  }

  function refused(tick) {
    const row = document.getElementById(tick.row);
    if (row) window.evenhouse.empty?.(row);
    window.evenhouse.say(`“${tick.name}” was changed by somebody meanwhile. Open the page anew.`);
  }

  function token() {
    return document.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "";
  }

  async function sendAll() {
    if (sending || navigator.onLine === false || !read().length || !token()) return;
    sending = true;
    try {
      for (const tick of read()) {
        if (!(await send(tick, token()))) break;
      }
    } catch {
      // still no network: everything stays kept
    } finally {
      sending = false;
      show();
    }
  }

  /* Nothing of one person's may be sent by the next: sending first, asking if that fails. */
  async function signOut(event) {
    if (!read().length) return;
    event.preventDefault();
    await sendAll();
    const left = read().length;
    const question = `${left} of your ticks could not be sent. Sign out and lose them?`;
    if (left && !window.confirm(question)) return;
    write([]);
    event.target.submit();
  }

  document.querySelector("[data-signs-out]")?.addEventListener("submit", signOut);
  window.addEventListener("online", sendAll);
  window.addEventListener("pageshow", sendAll);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") sendAll();
  });
  document.addEventListener("htmx:after:swap", show);

  window.evenhouse.keepTick = keep;
  window.evenhouse.forgetTick = (url) => {
    const tick = read().find((each) => each.url === url);
    if (tick) forget(tick);
    return Boolean(tick);
  };
  document.addEventListener("DOMContentLoaded", show);
})();
