// Narrows the table of nights to what the reader asks for, and keeps that in the address behind
// its "#": a page on disk may change no other part of it. The page is whole without this script.
"use strict";
// At once, before anything is drawn: the form has its place, and what is asked for is waited for.
document.documentElement.toggleAttribute("data-choosing", true);
document.documentElement.toggleAttribute("data-waiting", location.hash !== "");
addEventListener("DOMContentLoaded", () => {
  const NOON = 720, DAY = 1440;  // minutes
  const form = document.querySelector(".find-form"), texts = form.dataset;
  const body = document.querySelector(".find tbody");
  const heads = new Map([...document.querySelectorAll("[data-sort]")].map((head) => [head.dataset.sort, head]));

  // What a night has not is NaN or undefined, which fits no condition.
  const nights = [...body.rows].map((row, index) => {
    const figures = row.dataset.n.split(",");
    const [lit, waxing, dark, club, start, end, height, detail, chance] = figures.map(parseFloat);
    const date = row.querySelector("a").getAttribute("href").slice(0, 10);
    const day = String(new Date(`${date}T00:00Z`).getUTCDay() || 7);
    const length = end - start, star = figures[9];
    return { row, index, date, day, lit, waxing, dark, club, start, end, length, height, detail, chance, star };
  });

  const fromNoon = (clock) => {
    const [hours, minutes] = clock.split(":").map(Number);
    return (60 * hours + minutes + NOON) % DAY;
  };
  const inHours = (night, { from, until, minutes }) => {
    const start = Math.max(night.start, from ? fromNoon(from[0]) : 0);
    const end = Math.min(night.end, until ? fromNoon(until[0]) || DAY : DAY);
    return end - start >= (minutes ? minutes[0] : Math.min(night.length, texts.shortest));
  };
  const TESTS = {
    day: (night, { day }) => day.includes(night.day),
    from: inHours, until: inHours, minutes: inHours,
    first: (night, { first }) => night.date >= first[0],
    last: (night, { last }) => night.date <= last[0],
    club: (night, { club }) => (night.club & club[0]) > 0,
    window: (night, { window }) => (night.star !== undefined) === (window[0] === "with"),
    height: (night, { height }) => night.height >= height[0],
    least: (night, { least }) => night.lit >= least[0],
    most: (night, { most }) => night.lit <= most[0],
    way: (night, { way }) => night.waxing === Number(way[0]),
    detail: (night, { detail }) => night.detail <= detail[0],
    chance: (night, { chance }) => night.chance >= chance[0],
    star: (night, { star: [star] }) => star === "*" ? Boolean(night.star) : night.star === star.replace("-", ""),
    dark: (night, { dark }) => night.dark >= 60 * dark[0],
  };
  const WAYS = { date: 1, lit: -1, dark: -1, length: -1, height: -1, detail: 1, star: 1, chance: -1 };

  // A choice holds the values asked for by the name of their condition.
  function asked() {
    const choice = {};
    for (const [name, value] of new FormData(form))
      if (value && name in TESTS) (choice[name] ??= []).push(value);
    return choice;
  }
  const fits = (night, choice) => Object.keys(choice).every((name) => TESTS[name](night, choice));
  const count = (some) => new Set(some.map((night) => night.date)).size;
  const found = (choice) => count(nights.filter((night) => fits(night, choice)));

  const filled = (text, fields) => text.replace(/\{(\w+)\}/g, (_, name) => fields[name]);
  function inWords(name) {
    const first = form.querySelector(`[name="${name}"]`);
    if (first.type !== "checkbox")
      return `${first.labels[0].firstElementChild.textContent}: ${first.selectedOptions?.[0].textContent ?? first.value}`;
    const ticked = [...form.querySelectorAll(`[name="${name}"]:checked`)];
    const values = ticked.map((it) => it.labels[0].textContent.trim()).join(", ");
    return `${first.closest("fieldset").querySelector("legend").textContent}: ${values}`;
  }

  // Which condition removes the most: by what is found without it, else by what it removes alone.
  function whyNone(choice) {
    const all = count(nights), names = Object.keys(choice);
    const greatest = (measure) => names.map((name) => [measure(name), name]).reduce((a, b) => (b[0] > a[0] ? b : a));
    const [gained, first] = greatest((name) => {
      const { [name]: _, ...rest } = choice;
      return found(rest);
    });
    if (gained) return filled(texts.none, { name: inWords(first), count: gained });
    const [removed, name] = greatest((it) => all - found({ [it]: choice[it] }));
    return filled(texts.never, { name: inWords(name), count: removed, all });
  }

  let order = "date";
  function sort(wanted) {
    const key = wanted.replace("-", ""), way = WAYS[key] * (wanted === key ? 1 : -1);
    if (wanted === order || !way) return;
    const missing = ({ [key]: it }) => it === undefined || it === "" || Number.isNaN(it);
    const sorted = [...nights].sort((a, b) => missing(a) - missing(b)
      || way * ((a[key] > b[key]) - (a[key] < b[key])) || a.index - b.index);
    body.replaceChildren(...sorted.map((night) => night.row));
    for (const head of heads.values()) head.removeAttribute("aria-sort");
    heads.get(key).setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
    order = wanted;
  }

  const status = document.querySelector(".found"), list = document.querySelector(".asked");
  function show() {
    const choice = asked(), shown = nights.filter((night) => fits(night, choice));
    sort(form.elements.sort.value || "date");
    const kept = new Set(shown);
    for (const night of nights)
      if (night.row.hidden === kept.has(night)) night.row.hidden = !kept.has(night);
    const head = heads.get(order.replace("-", ""));
    const told = filled(order in WAYS ? texts.order : texts.turned, { order: head.dataset.order });
    status.textContent = shown.length
      ? `${filled(texts.found, { count: count(shown), all: count(nights) })} ${told}` : whyNone(choice);
    list.textContent = Object.keys(choice).map(inWords).join("; ");
    list.hidden = !list.textContent;
  }

  // The address
  function keep() {
    const fields = [...new FormData(form)].filter(([, value]) => value);
    const hash = fields.length ? `#${new URLSearchParams(fields)}` : "";
    if (hash !== location.hash) history.pushState(null, "", hash || location.pathname + location.search);
  }
  function read() {
    const wanted = new URLSearchParams(location.hash.slice(1));
    for (const control of form.querySelectorAll("[name]")) {
      if (control.type === "checkbox") control.checked = wanted.getAll(control.name).includes(control.value);
      else control.value = wanted.get(control.name) ?? "";
      if (control.selectedIndex < 0) control.selectedIndex = 0;
    }
    show();
  }

  for (const [key, head] of heads) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = head.textContent;
    button.addEventListener("click", () => {
      form.elements.sort.value = order === key ? `-${key}` : key;
      show();
      keep();
    });
    head.replaceChildren(button);
  }
  form.addEventListener("input", show);
  form.addEventListener("change", keep);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(() => { show(); keep(); }));
  addEventListener("popstate", read);

  const choices = document.querySelector(".choice");
  choices.open = !location.hash || matchMedia("(min-width: 40rem)").matches;
  for (const part of [choices, status, document.querySelector(".send")]) part.hidden = false;
  document.querySelector(".orders").hidden = true;
  read();
});
addEventListener("DOMContentLoaded", () => document.documentElement.removeAttribute("data-waiting"));
