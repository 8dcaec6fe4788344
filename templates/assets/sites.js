// Narrows the front page's list of sites to those whose name holds what is typed.
// The page is whole without it.
"use strict";
(() => {
  const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
  const input = document.getElementById("site-name");
  const sites = [...document.querySelectorAll(".site-list li")].map((item) => ({ item, name: plain(item.textContent) }));
  const narrow = () => {
    const words = plain(input.value).split(/\s+/);
    for (const { item, name } of sites) item.hidden = !words.every((word) => name.includes(word));
  };
  input.addEventListener("input", narrow);
  input.closest("p").hidden = false;
  narrow();
})();
