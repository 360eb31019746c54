// How wide the music is engraved for this screen: least width in pixels, music in millimetres.
const WIDTHS = [[1000, 188], [560, 130], [0, 85]];

/** The width this screen has room for; remembered, so that the next page comes right at once. */
export function wantedWidth() {
  const room = document.documentElement.clientWidth;
  const mm = String(WIDTHS.find(([least]) => room >= least)[1]);
  document.cookie = `mm=${mm}; path=/; max-age=31536000; samesite=strict`;
  return mm;
}
