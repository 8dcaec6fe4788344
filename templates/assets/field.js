"use strict";
// Lets a reader keep a site-year for use without a network, and shows what is kept. The buttons
// stand only where that can work: a page from a folder on disk has its files at hand anyway.
{
  const root = new URL("..", document.currentScript.src).href;
  const section = document.querySelector(".field-use"), list = document.querySelector(".kept-years");

  const say = (text, values = {}) => {
    section.querySelector("[role=status]").textContent = text.replace(/\{(\w+)\}/g, (_, name) => values[name]);
  };

  async function show() {
    const kept = await keptList(root, section.dataset.folder);
    section.querySelector(".forget").hidden = !kept;
    section.querySelector(".keep").textContent = kept ? section.dataset.again : section.dataset.first;
    if (kept) say(section.dataset.kept, { files: Object.keys(kept.files).length, size: (kept.bytes / 1e6).toFixed(0), version: kept.version });
    else say(section.dataset.nothing);
  }

  async function start() {
    try {
      await navigator.serviceWorker.register(new URL("service-worker.js", root));
      await keep(root, section.dataset.folder, (done, all) => say(section.dataset.progress, { done, all }));
      await navigator.storage?.persist?.();
      await show();
    } catch {
      say(section.dataset.failed);
    }
  }

  async function showYear() {
    section.hidden = false;
    section.querySelector(".keep").addEventListener("click", start);
    section.querySelector(".forget").addEventListener("click", async () => {
      await forget(root, section.dataset.folder);
      await show();
    });
    let renewed = false;
    navigator.serviceWorker.addEventListener("message", (event) => {
      if (event.data.renewed !== section.dataset.folder) return;
      renewed = true;
      say(section.dataset.renewed);
    });
    await show();
    if (renewed) say(section.dataset.renewed); // told while the list was still being read
  }

  async function showList() {
    for (const folder of await keptFolders(root)) {
      const kept = await keptList(root, folder);
      if (!kept) continue;
      const link = list.querySelector("ul").appendChild(document.createElement("li")).appendChild(document.createElement("a"));
      link.href = `${folder}index.html`;
      link.textContent = kept.title;
      list.hidden = false;
    }
  }

  if (location.protocol.startsWith("http") && isSecureContext && "serviceWorker" in navigator) {
    const manifest = document.head.appendChild(document.createElement("link"));
    manifest.rel = "manifest";
    manifest.href = new URL("almanac.webmanifest", root).href;
    if (section) showYear();
    if (list) showList();
  }
}
