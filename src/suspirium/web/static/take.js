// A take: keys from a MIDI keyboard or sound from the microphone, with a silent pulse to see.
import { openMicrophone } from "./wav.js";

const box = document.querySelector("[data-recorder]");
const words = JSON.parse(box.querySelector("[data-words]").textContent);
const said = box.querySelector("[data-said]");
const during = box.querySelector("[data-while]");
const begins = [...box.querySelectorAll("[data-begin]")];
const perBar = Math.max(1, Math.round(Number(box.dataset.perBar)) || 1);
const pulseMs = 1000 * Number(box.dataset.pulseS);
const pulse = box.querySelector("[data-pulse]");
const showPulse = document.getElementById("show-pulse");
let source = null;
let timers = [];

box.hidden = false;
const say = (text, n = "") => { said.textContent = text.replace("{n}", n); };

async function keyboard() {
  if (!navigator.requestMIDIAccess) throw new Error(words.no_midi);
  const access = await navigator.requestMIDIAccess().catch(() => { throw new Error(words.no_midi); });
  const inputs = [...access.inputs.values()];
  if (!inputs.length) throw new Error(words.no_keyboard);
  let events = [];
  const hear = (event) => {
    if ([0x80, 0x90].includes(event.data[0] & 0xf0)) events.push([event.timeStamp, ...event.data]);
  };
  inputs.forEach((input) => { input.onmidimessage = hear; });
  const down = () => events.filter((one) => (one[1] & 0xf0) === 0x90 && one[3] > 0).length;
  return {
    told: () => say(words.playing, down()),
    clear: () => {},
    close: async () => { inputs.forEach((input) => { input.onmidimessage = null; }); },
    form: () => {
      if (!down()) throw new Error(words.nothing);
      const form = new FormData();
      form.set("keys", JSON.stringify(events));
      return form;
    },
  };
}

async function microphone() {
  const open = await openMicrophone().catch(() => { throw new Error(words.no_microphone); });
  let since = performance.now();
  return {
    told: () => say(words.recording, Math.round((performance.now() - since) / 1000)),
    clear: () => { since = performance.now(); open.clear(); },
    close: open.close,
    form: () => {
      const form = new FormData();
      form.set("take", open.file(), "microphone.wav");
      return form;
    },
  };
}

function drawPulse(count) {
  pulse.replaceChildren(...Array.from({ length: perBar }, (_, place) => {
    const beat = document.createElement("span");
    beat.textContent = String(place + 1);
    beat.className = place === count % perBar ? "now" : "";
    return beat;
  }));
}

// One bar is counted in; then the pulse goes on as planned, to be seen only.
function beginPulse(ready) {
  const start = performance.now() + 250;
  let count = -1;
  pulse.hidden = false;
  const look = () => {
    const now = Math.floor((performance.now() - start) / pulseMs);
    if (now !== count && now >= 0) {
      count = now;
      drawPulse(count);
      if (count < perBar) say(words.count_in, count + 1);
      if (count === perBar) { ready(); pulse.hidden = !showPulse.checked; }
    }
  };
  drawPulse(-1);
  timers.push(setInterval(look, 8));
}

async function begin(kind) {
  begins.forEach((button) => { button.disabled = true; });
  try {
    source = await (kind === "keyboard" ? keyboard() : microphone());
  } catch (problem) {
    say(problem.message);
    return end();
  }
  during.hidden = false;
  during.querySelector("[data-stop]").focus();
  beginPulse(() => {
    source?.clear();
    timers.push(setInterval(() => source?.told(), 300));
  });
}

async function end() {
  timers.forEach(clearInterval);
  timers = [];
  pulse.hidden = true;
  during.hidden = true;
  begins.forEach((button) => { button.disabled = false; });
  await source?.close();
  source = null;
}

async function stop() {
  try {
    const body = source.form();
    say(words.sending);
    const answer = await fetch(`/hymns/${box.dataset.number}/takes`, { method: "POST", body, headers: { "X-Part": "1" } });
    const text = await answer.text();
    if (answer.status === 202) location.assign(text);
    else say(new DOMParser().parseFromString(text, "text/html").body.textContent.trim());
  } catch (problem) {
    say(problem.message);
  }
  await end();
}

begins.forEach((button) => button.addEventListener("click", () => begin(button.dataset.begin)));
during.querySelector("[data-stop]").addEventListener("click", stop);
during.querySelector("[data-discard]").addEventListener("click", () => { say(words.ready); end(); });
