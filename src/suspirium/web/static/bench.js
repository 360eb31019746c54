// The bench view: one stanza a screen; turned by tap, arrows or Page keys (foot switches send those).
const words = JSON.parse(document.getElementById("words").textContent);
const hymns = [...document.querySelectorAll("[data-hymn]")];
const stanzas = [...document.querySelectorAll("[data-stanza]")];
const tabs = [...document.querySelectorAll("[data-tab]")];
const [back, on] = document.querySelectorAll("[data-turn]");
let shown = 0;

const hymnOf = (place) => hymns.indexOf(stanzas[place].closest("[data-hymn]"));

// What a turn leads to: a stanza of this hymn, or another hymn.
function name(place) {
  if (hymnOf(place) !== hymnOf(shown)) return words.hymn.replace("{n}", hymnOf(place) + 1);
  return words.stanza.replace("{n}", stanzas[place].dataset.stanza);
}

function show(index) {
  shown = Math.max(0, Math.min(stanzas.length - 1, index));
  stanzas.forEach((one, place) => { one.hidden = place !== shown; });
  hymns.forEach((one, place) => { one.hidden = place !== hymnOf(shown); });
  tabs.forEach((tab, place) => {
    if (place === shown) tab.setAttribute("aria-current", "true");
    else tab.removeAttribute("aria-current");
  });
  back.disabled = shown === 0;
  on.disabled = shown === stanzas.length - 1;
  back.textContent = back.disabled ? words.first : name(shown - 1);
  on.textContent = on.disabled ? words.end : name(shown + 1);
  history.replaceState(null, "", `#${stanzas[shown].id}`);
  scrollTo(0, 0);
}

back.addEventListener("click", () => show(shown - 1));
on.addEventListener("click", () => show(shown + 1));
tabs.forEach((tab, place) => tab.addEventListener("click", (event) => {
  event.preventDefault();
  show(place);
}));

const KEYS = { ArrowRight: 1, ArrowDown: 1, PageDown: 1, ArrowLeft: -1, ArrowUp: -1, PageUp: -1 };
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  if (event.key in KEYS) show(shown + KEYS[event.key]);
  else if (event.key === "Home") show(0);
  else if (event.key === "End") show(stanzas.length - 1);
  else return;
  event.preventDefault();
});

// A tap on the page turns: the right two thirds go on, the left third goes back.
document.querySelector("main").addEventListener("click", (event) => {
  if (event.target.closest("a, button, summary") || getSelection().toString()) return;
  show(shown + (event.clientX > innerWidth / 3 ? 1 : -1));
});

// Dark or paper, remembered on this tablet.
const root = document.documentElement;
const kept = (() => { try { return localStorage.getItem("theme"); } catch { return null; } })();
if (kept) root.dataset.theme = kept;
document.querySelector("[data-bench-theme]").addEventListener("click", () => {
  const dark = root.dataset.theme ? root.dataset.theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
  root.dataset.theme = dark ? "paper" : "dark";
  try { localStorage.setItem("theme", root.dataset.theme); } catch { /* a private window keeps nothing */ }
});

// The screen stays on while this page is seen.
async function stayAwake() {
  try {
    await navigator.wakeLock.request("screen");
  } catch {
    document.querySelector("[data-awake]").hidden = false;
  }
}
document.addEventListener("visibilitychange", () => { if (!document.hidden) stayAwake(); });
if (!document.hidden) stayAwake();

// Once opened it opens again without the network, where the browser allows that.
if ("serviceWorker" in navigator && location.protocol.startsWith("http")) {
  navigator.serviceWorker.register("/bench-worker.js", { scope: "/" })
    .then(() => navigator.serviceWorker.ready)
    .then((ready) => {
      ready.active.postMessage(["/static/desk.css", "/static/bench.js", "/static/icon.svg", "/face/regular", "/face/bold", "/face/italic", location.pathname]);
      navigator.serviceWorker.addEventListener("message", () => { document.querySelector("[data-offline]").hidden = false; });
    })
    .catch(() => { /* the page itself is whole; only opening it anew needs the network */ });
}

show(Math.max(0, stanzas.findIndex((one) => `#${one.id}` === location.hash)));
