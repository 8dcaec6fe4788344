// Shows tonight and the next good nights of each site, by the reader's clock in the site's zone.
// The page is whole without it.
"use strict";
(() => {
  const NEXT = 3;
  const WORTH = ["good", "fair"];

  function now(zone) {
    const format = new Intl.DateTimeFormat("en-CA", {
      timeZone: zone, year: "numeric", month: "2-digit", day: "2-digit",
      hour: "2-digit", minute: "2-digit", hourCycle: "h23",
    });
    const part = Object.fromEntries(format.formatToParts(new Date()).map((p) => [p.type, p.value]));
    return { day: `${part.year}-${part.month}-${part.day}`, clock: `${part.hour}:${part.minute}` };
  }

  function dayBefore(day) {
    const date = new Date(`${day}T12:00:00Z`);
    date.setUTCDate(date.getUTCDate() - 1);
    return date.toISOString().slice(0, 10);
  }

  // The night in course lasts until its sunrise; afterwards "tonight" is the coming one.
  function tonight(nights, zone) {
    const { day, clock } = now(zone);
    const last = nights.findIndex((night) => night.date === dayBefore(day));
    if (last >= 0 && clock < (nights[last].sunrise || "12:00")) return last;
    return nights.findIndex((night) => night.date === day);
  }

  function line(night) {
    const item = document.createElement("li");
    item.className = night.grade;
    const link = item.appendChild(document.createElement("a"));
    link.href = night.href;
    for (const [name, text] of [["when", night.title], ["hours", night.hours], ["detail", night.detail]]) {
      const span = link.appendChild(document.createElement("span"));
      span.className = name;
      span.textContent = text;
    }
    return item;
  }

  function show(section, nights) {
    const index = tonight(nights, section.dataset.zone);
    if (index < 0) return;
    const link = section.querySelector(".lead a");
    const over = nights[index].until && new Date(nights[index].until) < new Date();
    section.querySelector(".date").textContent = nights[index].title;
    link.textContent = over ? section.dataset.over : nights[index].sentence;
    link.href = nights[index].href;
    section.querySelector("svg path").setAttribute("d", nights[index].lit);
    const next = nights.slice(index + 1).filter((night) => WORTH.includes(night.grade)).slice(0, NEXT);
    section.querySelector("ol").replaceChildren(...next.map(line));
    section.querySelector("h3").hidden = !next.length;
    section.hidden = false;
  }

  const known = {};
  window.almanacNights = (site, year, rows) => {
    const nights = rows.map(([date, sunrise, sentence, grade, title, hours, detail, until, lit]) => ({
      date, sunrise, sentence, grade, title, hours, detail, until, lit,
      href: `${site}/${year}/${date}.html`,
    }));
    known[site] = (known[site] || []).concat(nights).sort((a, b) => (a.date < b.date ? -1 : 1));
    show(document.querySelector(`[data-site="${site}"]`), known[site]);
  };

  for (const section of document.querySelectorAll("[data-site]")) {
    const thisYear = Number(now(section.dataset.zone).day.slice(0, 4));
    for (const year of section.dataset.years.split(" ")) {
      if (Math.abs(Number(year) - thisYear) > 1) continue;
      const script = document.createElement("script");
      script.src = `${section.dataset.site}/${year}/tonight.js`;
      document.head.append(script);
    }
  }
})();
