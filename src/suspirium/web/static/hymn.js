// The hymn's page: the score at the width of the screen, and what follows from a change.
import { part, paused } from "./parts.js";
import { wantedWidth } from "./width.js";

const form = document.querySelector("[data-decide]");
const number = form.dataset.number;
const key = form.dataset.key;

async function fit() {
  const mm = wantedWidth();
  const score = document.getElementById("score");
  if (score.dataset.width !== mm) await draw(`/hymns/${number}/score?mm=${mm}&key=${key}`);
}

async function draw(url, options) {
  const found = await part(url, options);
  if (!found || !found.ok) return;
  document.getElementById("score").outerHTML = found.html;
  document.dispatchEvent(new Event("score"));
}

async function tryIt(signal) {
  const body = new URLSearchParams(new FormData(form));
  const found = await part(`/hymns/${number}/consequences?key=${key}`, { method: "POST", body, signal });
  if (!found) return;
  document.getElementById("trial").innerHTML = found.html;
  if (found.ok) {
    await draw(`/hymns/${number}/consequences?score&mm=${wantedWidth()}&key=${key}`, { method: "POST", body, signal });
  }
}

// An empty number follows the plan: stepping up or down begins from what the plan says.
for (const field of form.querySelectorAll("input[data-planned]")) {
  field.addEventListener("keydown", (event) => {
    const way = { ArrowUp: 1, ArrowDown: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    const from = Number(field.value || field.dataset.planned);
    field.value = String(Math.max(Number(field.min), from + way * Number(field.dataset.step)));
    field.dispatchEvent(new Event("input", { bubbles: true }));
  });
}

const again = paused(tryIt, 150);
let changed = false;
form.addEventListener("input", () => { changed = true; again(); });
form.addEventListener("reset", () => { changed = false; setTimeout(again); });
form.addEventListener("submit", () => { changed = false; });
addEventListener("beforeunload", (event) => { if (changed) event.preventDefault(); });
addEventListener("resize", paused(fit, 200));
fit();
