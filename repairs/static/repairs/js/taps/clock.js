/** The clock on the page goes on by the minute; what counts is the one of the server. */

const MINUTE = 60_000;

export function runClock(node) {
  const [hours, minutes] = node.textContent.trim().split(":").map(Number);
  const since = Date.now();
  setInterval(() => {
    const passed = hours * 60 + minutes + Math.floor((Date.now() - since) / MINUTE);
    node.textContent = `${Math.floor(passed / 60)}:${String(passed % 60).padStart(2, "0")}`;
  }, MINUTE / 4);
}
