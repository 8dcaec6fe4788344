"use strict";
// Opened by a night's address, the page shows that card alone: four of it fill a printed sheet.
function fill() {
  for (const copy of document.querySelectorAll(".copy")) copy.remove();
  const card = document.getElementById(location.hash.slice(1));
  if (!card || !card.matches(".card")) return;
  for (let i = 0; i < 3; i += 1) {
    const copy = card.cloneNode(true);
    copy.removeAttribute("id");
    copy.className += " copy";
    copy.setAttribute("aria-hidden", "true");
    card.after(copy);
  }
}
addEventListener("hashchange", fill);
fill();
