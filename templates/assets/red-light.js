"use strict";
// Red light for reading at the telescope: remembered by the browser, set before the page is drawn.
{
  const KEY = "almanac-red-light";
  const root = document.documentElement;

  const kept = () => {
    try { return localStorage.getItem(KEY) !== null; } catch { return false; } // storage switched off
  };
  const keep = (red) => {
    try { if (red) localStorage.setItem(KEY, "1"); else localStorage.removeItem(KEY); } catch { /* this page only */ }
  };
  const show = (red) => {
    root.toggleAttribute("data-red", red);
    document.querySelector(".red-light")?.setAttribute("aria-pressed", String(red));
  };

  show(kept());
  addEventListener("DOMContentLoaded", () => {
    const button = document.querySelector(".red-light");
    button.hidden = false;
    show(kept());
    button.addEventListener("click", () => {
      const red = !root.hasAttribute("data-red");
      keep(red);
      show(red);
    });
  });
  addEventListener("storage", (event) => { if (event.key === KEY) show(kept()); }); // another page's choice
  addEventListener("pageshow", () => show(kept())); // back again to a page made earlier
}
