// Shows tonight and the next good nights of each site, by the reader's clock in the site's zone.
// The page is whole without it.
"use strict";
(() => {
  const NEXT = 3;
  const WORTH = ["good", "fair"];
  const MINUTE_MS = 60000;
  const NEAR_DAYS = [-2, 1, 31];  // round the night in course in any zone, and the next good nights

  const minute = () => Date.now() / MINUTE_MS;

  // Making a format takes longer than all else here: one for each zone.
  const formats = {};
  function parts(instant, zone) {
    const two = "2-digit", fields = { year: "numeric", month: two, day: two, hour: two, minute: two };
    formats[zone] ??= new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", ...fields });
    return Object.fromEntries(formats[zone].formatToParts(instant).map((part) => [part.type, part.value]));
  }

  function today(zone) {
    const { year, month, day } = parts(new Date(), zone);
    return `${year}-${month}-${day}`;
  }

  function clock(at, zone) {
    const { hour, minute: minutes } = parts(new Date(at * MINUTE_MS), zone);
    return `${hour}:${minutes}`;
  }

  // The night in course lasts until its sunrise; afterwards "tonight" is the coming one.
  function tonight(nights, zone) {
    const index = nights.findIndex((night) => night.ends > minute());
    return index >= 0 && nights[index].date <= today(zone) ? index : -1;
  }

  const filled = (text, fields) => text.replace(/\{(\w+)\}/g, (_, name) => fields[name]);

  // What can still be done: the plan as it stands, the rest of a window begun, or nothing.
  function advice(night, { zone, over, rest, late, another }) {
    const now = minute(), [next, later] = night.windows.filter((window) => window.until > now);
    if (!night.windows.length || now <= night.windows[0].hop) return [night.sentence];
    if (!next) return [over];
    if (now <= next.hop) return [next.sentence];
    const told = [filled(rest, { until: clock(next.until, zone) })];
    if (later) told.push(filled(another, { time: clock(later.start, zone) }));
    return [told.join(" "), next.star && filled(late, { star: next.star, hop: clock(next.hop, zone) })];
  }

  function tell(section, name, text) {
    const element = section.querySelector(`.${name}`);
    element.textContent = text || "";
    element.hidden = !text;
    return element;
  }

  function line(night) {
    const item = document.createElement("li");
    item.className = night.grade;
    const link = item.appendChild(document.createElement("a"));
    link.href = night.href;
    const events = night.events.map(([, text]) => ["limit", text]);
    for (const [name, text] of [["when", night.title], ["hours", night.hours], ["detail", night.detail], ["limit", night.limits], ...events]) {
      if (!text) continue;
      const span = link.appendChild(document.createElement("span"));
      span.className = name;
      span.textContent = text;
    }
    return item;
  }

  const worth = (night) => WORTH.includes(night.grade) || night.events.some(([, , invites]) => invites);

  function tellEvents(section, { folder, events }) {
    const list = section.querySelector(".night-events");
    list.replaceChildren(...events.map(([href, text]) => {
      const link = document.createElement("a");
      link.href = folder + href;
      link.textContent = text;
      const item = document.createElement("li");
      item.append(link);
      return item;
    }));
    list.hidden = !events.length;
  }

  function show(section, nights) {
    const { zone, cap, capNow } = section.dataset, index = tonight(nights, zone);
    if (index < 0) return;
    const night = nights[index], link = section.querySelector(".lead a");
    const hours = night.windows.length ? [night.hours, night.detail] : [];
    tell(section, "date", [night.title, ...hours].join(" · "));
    const [advised, late] = advice(night, section.dataset);
    link.textContent = advised;
    tell(section, "late", late);
    link.href = night.href;
    tell(section, "limits", night.limits);
    tellEvents(section, night);
    const due = minute() >= night.cap, sun = { cap: clock(night.cap, zone), rise: clock(night.ends, zone) };
    tell(section, "cap", night.cap && filled(due ? capNow : cap, sun)).classList.toggle("danger", due);
    section.querySelector("svg path").setAttribute("d", night.lit);
    const next = nights.slice(index + 1).filter(worth).slice(0, NEXT);
    section.querySelector("ol").replaceChildren(...next.map(line));
    section.querySelector("h3").hidden = !next.length;
    section.querySelector(".seek a").href = night.find;
    section.hidden = false;
  }

  const known = {};
  window.almanacNights = (site, year, rows) => {
    const nights = rows.map(([date, ends, cap, sentence, grade, title, hours, detail, limits, lit, windows, events]) => ({
      date, ends, cap, sentence, grade, title, hours, detail, limits, lit, events,
      windows: windows.map(([start, hop, until, star, own]) => ({ start, hop, until, star, sentence: own })),
      folder: `${site}/${year}/`, href: `${site}/${year}/${date}.html`, find: `${site}/${year}/find.html`,
    }));
    known[site] = (known[site] || []).concat(nights).sort((a, b) => (a.date < b.date ? -1 : 1));
    if (document.readyState !== "loading") showAll();
  };
  function showAll() {
    for (const [site, nights] of Object.entries(known))
      show(document.querySelector(`[data-site="${site}"]`), nights);
  }
  document.addEventListener("DOMContentLoaded", showAll);
  // A phone that wakes up with the page of an hour ago.
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") showAll();
  });

  // What stands below waits for the nights, so that nothing moves when they come or fail to. They
  // are asked for at once, before the page itself is there.
  let waiting = 0;
  const wait = (more) => {
    waiting += more;
    document.documentElement.toggleAttribute("data-waiting", waiting > 0);
  };

  wait(1);
  document.addEventListener("DOMContentLoaded", () => {
    wait(-1);
    // The formats are made after the head is drawn, while the nights are still on their way.
    const zones = [...document.querySelectorAll("[data-site]")].map((section) => section.dataset.zone);
    requestAnimationFrame(() => setTimeout(() => waiting && zones.forEach(today)));
  });
  const [past, near, soon] = NEAR_DAYS.map((days) => String(new Date(Date.now() + 1440 * days * MINUTE_MS).getUTCFullYear()));
  for (const [site, ...years] of document.currentScript.dataset.sites.split(";").map((it) => it.split(" "))) {
    if (!years.includes(past) && !years.includes(near)) continue;
    for (const year of years) {
      if (![past, near, soon].includes(year)) continue;
      const script = document.createElement("script");
      script.src = `${site}/${year}/tonight.js`;
      script.onload = script.onerror = () => wait(-1);
      wait(1);
      document.head.append(script);
    }
  }
})();
