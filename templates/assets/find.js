// Narrows the table of nights to what the reader asks for, and keeps that in the address behind
// its "#": a page on disk may change no other part of it. The page is whole without this script.
"use strict";
(() => {
  const NOON = 720, DAY = 1440;  // minutes
  const form = document.querySelector(".find-form"), body = document.querySelector(".find tbody");
  const heads = [...document.querySelectorAll("[data-sort]")];
  const texts = form.dataset, page = location.pathname + location.search;

  const nights = [...body.rows].map((row, index) => {
    const figures = row.dataset.n.split(","), star = figures[9];
    const [lit, waxing, dark, club, start, end, height, detail, chance] = figures.map(parseFloat);
    const date = row.querySelector("a").getAttribute("href").slice(0, 10);
    const day = String(new Date(`${date}T00:00Z`).getUTCDay() || 7);
    return { row, index, date, day, lit, waxing, dark, club, start, end, length: end - start, height, detail, chance, star };
  });

  // What a night has not is NaN or undefined, which fits no condition.
  const fromNoon = (clock) => clock.split(":").reduce((hours, minutes) => (60 * hours + 1 * minutes + NOON) % DAY);
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
    star: ({ star }, { star: [asked] }) => asked === "*" ? Boolean(star) : star === (asked === "-" ? "" : asked),
    dark: (night, { dark }) => night.dark >= 60 * dark[0],
  };
  const WAYS = { date: 1, lit: -1, dark: -1, length: -1, height: -1, detail: 1, star: 1, chance: -1 };

  // The choice: each name asked for, with its values.
  const asked = () => {
    const choice = {};
    for (const [name, value] of new FormData(form)) if (value) (choice[name] ??= []).push(value);
    return choice;
  };
  const fits = (night, choice) => Object.keys(choice).every((name) => !TESTS[name] || TESTS[name](night, choice));
  const count = (some) => new Set(some.map((night) => night.date)).size;
  const found = (choice) => count(nights.filter((night) => fits(night, choice)));
  const filled = (text, fields) => text.replace(/\{(\w+)\}/g, (_, name) => fields[name]);

  const controls = (name) => [form.elements[name]].flatMap((it) => (it.type ? it : [...it]));
  const title = (name) => name === "day" ? controls(name)[0].closest("fieldset").querySelector("legend").textContent
    : controls(name)[0].labels[0].firstElementChild.textContent;
  const value = (control) => control.type === "checkbox" ? control.labels[0].textContent.trim()
    : control.selectedOptions ? control.selectedOptions[0].textContent : control.value;
  const inWords = (name) =>
    `${title(name)}: ${controls(name).filter((it) => it.type !== "checkbox" || it.checked).map(value).join(", ")}`;

  function whyNone(choice) {
    const names = Object.keys(choice).filter((name) => TESTS[name]), all = count(nights);
    const without = (gone) => found(Object.fromEntries(Object.entries(choice).filter(([name]) => name !== gone)));
    const alone = (name) => all - found({ [name]: choice[name] });
    const most = (measure) => names.map((name) => [measure(name), name]).reduce((a, b) => (b[0] > a[0] ? b : a));
    const [gained, name] = most(without);
    if (gained) return filled(texts.none, { name: inWords(name), count: gained });
    const [removed, strictest] = most(alone);
    return filled(texts.never, { name: inWords(strictest), count: removed, all });
  }

  let order = "date";
  function sort(wanted) {
    const key = wanted.replace("-", ""), way = WAYS[key] * (wanted[0] === "-" ? -1 : 1);
    if (wanted === order || !way) return;
    const missing = (it) => it === undefined || it === "" || Number.isNaN(it);
    body.append(...[...nights].sort((a, b) => missing(a[key]) - missing(b[key])
      || way * ((a[key] > b[key]) - (a[key] < b[key])) || a.index - b.index).map((night) => night.row));
    order = wanted;
    for (const head of heads) head.removeAttribute("aria-sort");
    heads.find((head) => head.dataset.sort === key).setAttribute("aria-sort", way > 0 ? "ascending" : "descending");
  }

  function show() {
    const choice = asked(), shown = nights.filter((night) => (night.row.hidden = !fits(night, choice), !night.row.hidden));
    sort(choice.sort ? choice.sort[0] : "date");
    const head = heads.find((it) => it.dataset.sort === order.replace("-", ""));
    const told = filled(order[0] === "-" ? texts.turned : texts.order, { order: head.dataset.order });
    const status = document.querySelector(".found"), line = document.querySelector(".asked");
    status.textContent = shown.length ? `${filled(texts.found, { count: count(shown), all: count(nights) })} ${told}` : whyNone(choice);
    line.textContent = Object.keys(choice).filter((name) => TESTS[name]).map(inWords).join("; ");
    line.hidden = !line.textContent;
  }

  // Address and form
  const fragment = () => new URLSearchParams(Object.entries(asked()).flatMap(([name, values]) => values.map((it) => [name, it]))).toString();
  function keep() {
    if (fragment() !== location.hash.slice(1)) history.pushState(null, "", fragment() ? `#${fragment()}` : page);
  }
  function read() {
    const wanted = new URLSearchParams(location.hash.slice(1));
    for (const control of form.elements) {
      if (control.type === "checkbox") control.checked = wanted.getAll(control.name).includes(control.value);
      else if (control.name) control.value = wanted.get(control.name) ?? "";
      if (control.selectedIndex < 0) control.selectedIndex = 0;
    }
    show();
  }

  for (const head of heads) {
    const button = document.createElement("button"), key = head.dataset.sort;
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

  document.querySelector(".orders").hidden = true;
  for (const part of document.querySelectorAll(".choice, .found, .send")) part.hidden = false;
  document.querySelector(".choice").open = !location.hash || matchMedia("(min-width: 40rem)").matches;
  read();
})();
