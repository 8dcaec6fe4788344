"use strict";
// Site-years that a reader keeps in the browser: one cache for each, named by its folder. Used by
// the pages and by the service worker; ROOT is the almanac's top folder.
const PREFIX = "almanac:", LIST = "kept.json", AT_ONCE = 8;

const cacheName = (root, folder) => PREFIX + new URL(folder, root).pathname;

async function keptFolders(root) {
  const home = PREFIX + new URL(root).pathname;
  return (await caches.keys()).filter((name) => name.startsWith(home)).map((name) => name.slice(home.length));
}

// The list of a folder as it was when last kept whole, or null.
async function keptList(root, folder) {
  if (!(await caches.has(cacheName(root, folder)))) return null;
  const found = await (await caches.open(cacheName(root, folder))).match(new URL(folder + LIST, root));
  return found ? found.json() : null;
}

async function fetched(url) {
  const answer = await fetch(url, { cache: "no-cache" });
  if (!answer.ok) throw new Error(`${answer.status} ${url}`);
  return answer;
}

// Keep a folder, or bring it up to date: only what has changed is fetched. Its list goes in last,
// so that a folder kept halfway is never taken for whole. Answers whether anything was new.
async function keep(root, folder, progress = () => {}) {
  const list = await (await fetched(new URL(folder + LIST, root))).json();
  const old = (await keptList(root, folder)) ?? { version: "", files: {} };
  const cache = await caches.open(cacheName(root, folder));
  const changed = Object.keys(list.files).filter((path) => list.files[path] !== old.files[path]);
  const urls = [...changed.map((path) => folder + path), ...list.shared].map((path) => new URL(path, root));
  for (let first = 0; first < urls.length; first += AT_ONCE) {
    progress(first, urls.length);
    await Promise.all(urls.slice(first, first + AT_ONCE).map(async (url) => cache.put(url, await fetched(url))));
  }
  const gone = Object.keys(old.files).filter((path) => !(path in list.files));
  await Promise.all(gone.map((path) => cache.delete(new URL(folder + path, root))));
  await cache.put(new URL(folder + LIST, root), new Response(JSON.stringify(list)));
  return list.version !== old.version;
}

const forget = (root, folder) => caches.delete(cacheName(root, folder));
