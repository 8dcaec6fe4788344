"use strict";
// Shows the kept site-years without a network, and renews them when the almanac has been published
// anew. Nothing is kept unless a reader has asked for it on a year's page.
importScripts("assets/kept.js");

const ROOT = registration.scope;
const REST_MS = 10 * 60 * 1000; // how long not to ask again whether something is new
let asked = 0;

addEventListener("install", () => skipWaiting());
addEventListener("activate", (event) => event.waitUntil(clients.claim()));
addEventListener("fetch", (event) => {
  const { method, url, mode, cache } = event.request;
  const renewing = mode === "cors" && cache === "no-cache"; // kept.js wants what is published now
  if (method === "GET" && url.startsWith(ROOT) && !renewing) event.respondWith(answer(event));
});

async function answer(event) {
  const page = event.request.mode === "navigate";
  const kept = await found(event.request.url);
  if (kept && page) event.waitUntil(renew());
  try {
    return kept ?? (await fetch(event.request));
  } catch (failure) {
    const instead = new URL("not-kept.html", ROOT);
    if (page && (await found(instead))) return Response.redirect(instead);
    throw failure;
  }
}

function found(address) {
  const url = new URL(address);
  if (url.pathname.endsWith("/")) url.pathname += "index.html";
  return caches.match(url, { ignoreSearch: true });
}

async function renew() {
  if (Date.now() - asked < REST_MS) return;
  asked = Date.now();
  try {
    for (const folder of await keptFolders(ROOT)) {
      if ((await keptList(ROOT, folder)) && (await keep(ROOT, folder))) await tell(folder);
    }
  } catch { /* no network: what is kept stays as it is */ }
}

async function tell(folder) {
  for (const page of await clients.matchAll()) page.postMessage({ renewed: folder });
}
