"""Takes in a browser: a keyboard and a microphone, both simulated at the browser's interface."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import soundfile
from numpy import abs as size

from suspirium.desk.planning import plan_file
from tests.browser.conftest import Desk
from tests.conftest import PARISH
from tests.playing import Playing, as_midi, play

# A MIDI input as the Web MIDI API (W3C) gives it: `onmidimessage` with data and timeStamp.
KEYBOARD = """
const input = { onmidimessage: null };
navigator.requestMIDIAccess = async () => ({ inputs: new Map([["organ", input]]) });
window.playAll = (events) => {
  const begin = performance.now();
  for (const [ms, ...data] of events) {
    input.onmidimessage?.({ data: Uint8Array.from(data), timeStamp: begin + ms });
  }
};
"""
# The microphone as a steady tone, by the Media Capture and Web Audio APIs (W3C).
TONE = """
navigator.mediaDevices.getUserMedia = async () => {
  const context = new AudioContext();
  const tone = new OscillatorNode(context, { frequency: 440 });
  const out = context.createMediaStreamDestination();
  tone.connect(out);
  tone.start();
  return out.stream;
};
"""


def _events() -> list[list[float]]:
    """One stanza of the third hymn as an invented player plays it, as MIDI messages."""
    plan = plan_file(PARISH / "osmerley.abc")
    notes = play(plan, Playing(seed=2, stanzas=1)).notes
    events = [[1000 * note.onset_s, 0x90, note.midi, 80] for note in notes]
    events += [[1000 * note.release_s, 0x80, note.midi, 0] for note in notes]
    return sorted(events)


def test_a_keyboard_is_played_and_the_report_appears(parish: Desk, page: Any) -> None:
    page.add_init_script(KEYBOARD)
    page.goto(f"{parish.url}/hymns/3/takes")
    page.click("text=Begin with the keyboard")
    page.wait_for_selector("[data-pulse] .now")
    page.wait_for_selector("[data-said]:has-text('Playing')")
    page.evaluate("events => window.playAll(events)", _events())
    page.click("text=Stop and listen")
    page.wait_for_url("**/takes/1")
    assert "1 stanza of" in page.inner_text("main")
    assert page.locator("figure svg").count() >= 2
    page.goto(f"{parish.url}/takes")
    assert page.locator("tbody tr").count() == 1


def test_no_key_is_said_in_words(parish: Desk, page: Any) -> None:
    page.add_init_script(KEYBOARD)
    page.goto(f"{parish.url}/hymns/3/takes")
    page.click("text=Begin with the keyboard")
    page.wait_for_selector("[data-said]:has-text('Playing')")
    page.click("text=Stop and listen")
    page.wait_for_selector("[data-said]:has-text('No key was heard')")
    assert page.is_enabled("[data-begin=keyboard]")


def test_a_browser_without_midi_says_so(parish: Desk, page: Any) -> None:
    page.add_init_script("navigator.requestMIDIAccess = undefined")
    page.goto(f"{parish.url}/hymns/3/takes")
    page.click("text=Begin with the keyboard")
    page.wait_for_selector("[data-said]:has-text('cannot hear a MIDI keyboard')")


def test_the_microphone_brings_a_wav_file_of_what_was_heard(parish: Desk, page: Any) -> None:
    """Read back by libsndfile: one channel, 16 bits, as long as the take, 440 Hz loud."""
    brought: list[bytes] = []
    page.add_init_script(TONE)
    page.goto(f"{parish.url}/hymns/3/takes")

    def catch(route: Any) -> None:
        brought.append(route.request.post_data_buffer)
        route.fulfill(status=422, body="<p>caught</p>", content_type="text/html")

    page.route("**/hymns/3/takes", catch)
    page.click("text=Begin with the microphone")
    page.wait_for_selector("[data-said]:has-text('Recording. 2 s')")
    page.click("text=Stop and listen")
    page.wait_for_selector("[data-said]:has-text('caught')")
    body = brought[0]
    begin = body.index(b"RIFF")
    sound, rate = soundfile.read(io.BytesIO(body[begin:]))
    assert sound.ndim == 1
    assert 1.5 < len(sound) / rate < 6
    middle = sound[len(sound) // 4 : 3 * len(sound) // 4]
    crossings = ((middle[:-1] < 0) & (middle[1:] >= 0)).sum()
    assert abs(crossings * rate / len(middle) - 440) < 5
    assert size(middle).max() > 0.1


def test_a_file_that_is_another_hymn_is_refused_in_words(
    parish: Desk, page: Any, tmp_path: Path
) -> None:
    other = tmp_path / "other.mid"
    other.write_bytes(as_midi(play(plan_file(PARISH / "quillerby.abc"), Playing(seed=1)).notes))
    page.goto(f"{parish.url}/hymns/3/takes")
    page.set_input_files("#take", other)
    page.click("text=Listen to it")
    page.wait_for_selector("[data-state=failed]")
    assert "Traceback" not in page.inner_text("main")
