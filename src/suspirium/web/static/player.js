// The hymn sounds, from any measure; its notes are lit as they sound.
import { idOf, noteAt } from "./notes.js";

const box = document.querySelector("[data-player]");
const number = box.dataset.number;
const button = box.querySelector("[data-play]");
const place = box.querySelector("[data-place]");
const choose = (name) => box.querySelector(`#play-${name}`);
const audio = new Audio();
audio.preload = "none";
let timing = null;
let asked = "";
let elements = new Map();
let lit = new Set();

box.hidden = false;

function query() {
  const values = new URLSearchParams({ tempo: choose("tempo").value, voices: choose("voices").value, v: box.dataset.version });
  if (choose("ticks").checked) values.set("ticks", "1");
  if (box.dataset.key !== "0") values.set("key", box.dataset.key);
  return values.toString();
}

async function prepare() {
  const wanted = query();
  if (wanted === asked) return;
  place.textContent = place.dataset.preparing;
  const answer = await fetch(`/hymns/${number}/timing.json?${wanted}`);
  if (!answer.ok) throw new Error("timing");
  timing = await answer.json();
  audio.src = `/hymns/${number}/sound.flac?${wanted}`;
  asked = wanted;
}

function startOf(stanza, measure) {
  const found = timing.measures.find((one) => one[1] === stanza && one[2] === measure);
  return found ? found[0] : timing.stanzas.find((one) => one[0] === stanza)[1];
}

async function playFrom(stanza, measure) {
  choose("stanza").value = stanza;
  choose("measure").value = measure;
  try {
    await prepare();
    audio.currentTime = Math.max(0, startOf(stanza, measure) - 0.02);
    await audio.play();
  } catch (problem) {
    if (problem.name !== "AbortError") place.textContent = place.dataset.failed;
  }
}

function chosen() {
  return playFrom(Number(choose("stanza").value), Number(choose("measure").value));
}

function toggle() {
  if (!audio.paused) audio.pause();
  else if (asked === query() && audio.currentTime > 0 && !audio.ended) audio.play();
  else chosen();
}

button.addEventListener("click", toggle);
for (const name of ["stanza", "measure", "tempo", "voices", "ticks"]) {
  choose(name).addEventListener("change", () => { if (!audio.paused) chosen(); else audio.currentTime = 0; });
}
audio.addEventListener("play", () => { button.textContent = button.dataset.pause; draw(); });
audio.addEventListener("pause", () => { button.textContent = button.dataset.hear; });
audio.addEventListener("ended", () => { light(new Set()); audio.currentTime = 0; });
audio.addEventListener("error", () => { place.textContent = place.dataset.failed; });
document.addEventListener("keydown", (event) => {
  if (event.key !== " " || event.target.closest("input, select, textarea, button, summary, a")) return;
  event.preventDefault();
  toggle();
});

// Notes by the ids of the engraving; the parts of a tied length light together.
function gather() {
  elements = new Map();
  for (const note of document.querySelectorAll(".music g[id^=n]")) {
    const id = idOf(note);
    if (id) elements.set(id, [...(elements.get(id) ?? []), note]);
  }
}

function light(now) {
  for (const id of lit) if (!now.has(id)) elements.get(id)?.forEach((note) => note.classList.remove("lit"));
  for (const id of now) if (!lit.has(id)) elements.get(id)?.forEach((note) => note.classList.add("lit"));
  lit = now;
}

function draw() {
  if (!timing) return;
  const at = audio.currentTime;
  light(new Set(timing.notes.filter(([from, to]) => from <= at && at < to).flatMap((one) => one[2])));
  const measure = timing.measures.findLast((one) => one[0] <= at + 0.03) ?? timing.measures[0];
  const words = place.dataset.words.replace("{stanza}", measure[1]).replace("{measure}", measure[2]);
  if (place.textContent !== words) {
    place.textContent = words;
    follow(measure);
  }
  if (!audio.paused) requestAnimationFrame(draw);
}

// The system that sounds is kept in view.
function follow() {
  const note = [...lit].map((id) => elements.get(id)?.[0]).find(Boolean);
  const system = note?.closest(".system");
  if (!system) return;
  const { top, bottom } = system.getBoundingClientRect();
  if (top < 0 || bottom > innerHeight) system.scrollIntoView({ block: "center" });
}

// A note that is clicked: play from its measure, in the stanza last heard.
document.addEventListener("click", async (event) => {
  const id = noteAt(event);
  if (!id) return;
  try { await prepare(); } catch { place.textContent = place.dataset.failed; return; }
  const stanza = Number(choose("stanza").value);
  const first = timing.stanzas.find((one) => one[0] === stanza)[1];
  const sounds = timing.notes.find((one) => one[0] >= first - 0.01 && one[2].includes(id));
  const measure = sounds && timing.measures.findLast((one) => one[0] <= sounds[0] + 0.01);
  if (measure) playFrom(measure[1], measure[2]);
});

document.addEventListener("score", () => { gather(); lit = new Set(); if (!audio.paused) draw(); });
gather();
