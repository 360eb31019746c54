// The notes of the engraved score, by the ids that the engraving gives them.

/** The id of a note's element without the part of a tied length: "n0-12". */
export const idOf = (element) => element?.id.match(/^n\d+-\d+/)?.[0];

/** The id of the note nearest to a click or tap on the music; undefined far from any. */
export function noteAt(event) {
  const music = event.target.closest?.(".music");
  if (!music) return undefined;
  let nearest;
  let least = 28;
  for (const head of music.querySelectorAll("g[id^=n] .notehead")) {
    const box = head.getBoundingClientRect();
    const away = Math.hypot(event.clientX - (box.left + box.right) / 2, event.clientY - (box.top + box.bottom) / 2);
    if (away < least) [least, nearest] = [away, head];
  }
  return idOf(nearest?.closest("g[id^=n]"));
}
