// Parts of pages made by the server, put in place.

/** Fetches a part; a sentence in words stands in its place where that fails. */
export async function part(url, options = {}) {
  try {
    const answer = await fetch(url, { ...options, headers: { "X-Part": "1" } });
    return { ok: answer.ok, html: await answer.text() };
  } catch (problem) {
    if (problem.name === "AbortError") return null;
    return { ok: false, html: '<p class="problem" role="alert">The desk does not answer. Is it still running?</p>' };
  }
}

/** A function that runs `act` once the calls have paused for `ms`; a call before aborts the last. */
export function paused(act, ms) {
  let timer = 0;
  let abort = new AbortController();
  return () => {
    clearTimeout(timer);
    timer = setTimeout(() => {
      abort.abort();
      abort = new AbortController();
      act(abort.signal);
    }, ms);
  };
}
