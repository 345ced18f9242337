/* The first run: what the browser knows of its place, and sums that follow the ticks. */
(() => {
  "use strict";

  /* The country and its habits, asked for anew with the browser's own time zone. */
  const zone = document.querySelector("input[name=zone]");

  function browserZone() {
    try {
      return Intl.DateTimeFormat().resolvedOptions().timeZone ?? "";
    } catch {
      return "";
    }
  }

  async function fetchUsual(country) {
    const block = document.getElementById("usual");
    const asked = new URLSearchParams({ zone: zone.value, country });
    const answer = await fetch(`${block.dataset.usual}?${asked}`);
    if (!answer.ok) return;
    const holder = document.createElement("template");
    holder.innerHTML = await answer.text();
    const fresh = holder.content.getElementById("usual");
    if (!fresh) return;
    const hadFocus = document.activeElement?.name === "country";
    fresh.querySelector("details").open = block.querySelector("details").open;
    block.replaceWith(fresh);
    if (hadFocus) fresh.querySelector("[name=country]").focus();
  }

  if (zone) {
    /* Without network the page still works: the hub sets what is usual when it is sent. */
    const quietly = (country) => fetchUsual(country).catch(() => {});
    if (!zone.value) {
      zone.value = browserZone();
      if (zone.value && !document.getElementById("errors")) quietly("");
    }
    document.addEventListener("change", (event) => {
      if (event.target.name === "country") quietly(event.target.value);
    });
  }

  /* How many chores, and how many minutes a week, as they are ticked and changed. */
  const form = document.querySelector("[data-counts]");

  function add(row, sum) {
    if (!row.querySelector(".do input").checked) return sum;
    const typed = Number(row.querySelector("[name^=minutes_]").value);
    return { count: sum.count + 1, minutes: sum.minutes + row.dataset.week * (typed || 0) };
  }

  function show() {
    const total = { count: 0, minutes: 0 };
    for (const area of form.querySelectorAll("[data-area]")) {
      const sum = [...area.querySelectorAll(".pick")].reduce((all, row) => add(row, all), {
        count: 0,
        minutes: 0,
      });
      area.querySelector("[data-count]").textContent = sum.count;
      area.querySelector("[data-minutes]").textContent = Math.round(sum.minutes);
      total.count += sum.count;
      total.minutes += sum.minutes;
    }
    document.getElementById("week-minutes").textContent = Math.round(total.minutes);
    const words = total.count === 1 ? "Add this 1 chore" : `Add these ${total.count} chores`;
    form.querySelector("[data-total]").textContent = total.count ? words : "Add nothing for now";
  }

  form?.addEventListener("input", show);
  form?.addEventListener("change", show);
  if (form) show();
})();
