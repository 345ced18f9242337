/* An open Today follows what others do: every few seconds it asks whether its list has changed.
   Rows that were touched here stay as they are until the page is left, and nothing moves the
   focus. Without script the page is as it was when it was opened. */
(() => {
  "use strict";
  const ASK_EVERY = 4000;
  const day = document.getElementById("day");
  if (!day) return;
  const drawn = new WeakMap(); // a row -> its text as it came, before anybody touched it
  let asking = false;
  let owed = false; // a row under somebody's hand waits for its news

  const list = () => document.getElementById("list");
  const rowsOf = (place) => place.querySelectorAll("li.row");
  const stateOf = (row) => ["open", "done", "skipped", "lapsed"].find((state) => row.classList.contains(state));

  function learn(place) {
    for (const row of rowsOf(place)) drawn.set(row, row.outerHTML);
  }

  /* On its way, touched here, or under somebody's hand: it stays, unless another changed it too. */
  function isHeld(row, fresh) {
    if (row.classList.contains("sending") || row.contains(document.activeElement)) return true;
    return !drawn.has(row) && (!fresh || stateOf(row) === stateOf(fresh));
  }

  function place(row, before, rows) {
    rows.insertBefore(row, before);
    drawn.set(row, row.outerHTML);
    window.htmx?.process(row);
  }

  /* Brings one section's rows up to date; `at` walks along the rows that stand there. */
  function patchRows(rows, freshRows, news) {
    let at = rows.firstElementChild;
    for (const fresh of [...freshRows.children]) {
      const row = document.getElementById(fresh.id);
      const differs = row && drawn.has(row) && drawn.get(row) !== fresh.outerHTML;
      if (differs && isHeld(row, fresh)) owed = true;
      const stays = row && (isHeld(row, fresh) || (drawn.has(row) && !differs));
      if (stays && row === at) {
        at = at.nextElementSibling;
      } else if (stays && isHeld(row, fresh)) {
        continue;
      } else if (stays) {
        rows.insertBefore(row, at);
      } else {
        if (row === at && at) at = at.nextElementSibling;
        row?.remove();
        place(fresh, at, rows);
        if (!row && fresh.classList.contains("open")) news.push(fresh.querySelector("a").textContent);
      }
    }
  }

  function patchList(fresh) {
    const old = list();
    const news = [];
    const known = new Set([...rowsOf(fresh)].map((row) => row.id));
    for (const row of rowsOf(old)) if (!known.has(row.id) && !isHeld(row)) row.remove();
    let at = old.firstElementChild;
    for (const section of [...fresh.children]) {
      const name = section.getAttribute("aria-labelledby");
      const same = name && old.querySelector(`section[aria-labelledby="${name}"]`);
      if (!name) continue;
      if (!same) {
        const shell = section.cloneNode(true);
        shell.querySelector("ul").replaceChildren();
        old.insertBefore(shell, at);
        patchRows(shell.querySelector("ul"), section.querySelector("ul"), news);
      } else {
        if (same === at) at = at.nextElementSibling;
        const heading = section.querySelector("h2");
        if (same.querySelector("h2").innerHTML !== heading.innerHTML) same.querySelector("h2").replaceWith(heading);
        patchRows(same.querySelector("ul"), section.querySelector("ul"), news);
      }
    }
    for (const section of [...old.children]) if (!section.querySelector("li.row")) section.remove();
    const nothing = fresh.querySelector(".nothing");
    if (nothing && !old.firstElementChild) old.append(nothing.closest("section"));
    if (news.length) window.evenhouse.say(`New on the list: ${news.join(", ")}.`);
  }

  function patchSum(fresh) {
    if (list().querySelector(".sending")) return; // the figure counts what is still on its way
    for (const place of [".figure", ".soft:not(.offline)"]) {
      const old = document.querySelector(`#sum ${place}`);
      const now = fresh.querySelector(place);
      if (old.textContent !== now.textContent) old.textContent = now.textContent;
    }
  }

  function patchPart(name, fresh) {
    const old = document.querySelector(name);
    if (old?.contains(document.activeElement) || old?.outerHTML === fresh?.outerHTML) return;
    if (old && fresh) old.replaceWith(fresh);
  }

  function show(text) {
    const holder = document.createElement("template");
    holder.innerHTML = text;
    patchSum(holder.content.querySelector("#sum"));
    patchList(holder.content.querySelector("#list"));
    patchPart("#swaps", holder.content.querySelector("#swaps"));
    patchPart("aside.others", holder.content.querySelector("aside.others"));
  }

  async function ask() {
    if (document.hidden || asking || navigator.onLine === false) return;
    asking = true;
    try {
      const answer = await fetch(location.pathname, {
        headers: { "HX-Request": "true", "If-None-Match": day.dataset.version },
        cache: "no-store",
        redirect: "manual",
      });
      if (answer.status === 200) {
        owed = false;
        show(await answer.text());
        day.dataset.version = owed ? "" : answer.headers.get("ETag") ?? "";
      }
    } catch {
      // no network: what stands here stays, and the next round asks again
    } finally {
      asking = false;
    }
  }

  learn(list());
  setInterval(ask, ASK_EVERY);
  document.addEventListener("visibilitychange", ask);
  window.addEventListener("pageshow", (event) => {
    if (event.persisted) ask();
  });
})();
