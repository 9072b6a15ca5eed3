// Timers of the bench count on while the page is open, and the screen stays awake for wet hands. The page itself says
// when each timer began and when it is due.
(() => {
  const minutes = (from, to) => Math.max(Math.floor((to - from) / 60000), 0);
  const count = () => {
    const now = Date.now();
    for (const place of document.querySelectorAll("[data-since]")) {
      const gone = minutes(Date.parse(place.dataset.since), now);
      const due = place.dataset.due ? Date.parse(place.dataset.due) : null;
      place.textContent =
        due === null
          ? `${gone} min`
          : due >= now
            ? `${gone} min, ${minutes(now, due)} min to go`
            : `${gone} min, due ${minutes(due, now)} min ago`;
    }
  };
  const stayAwake = () => {
    if (document.visibilityState === "visible") navigator.wakeLock?.request("screen").catch(() => {});
  };

  count();
  stayAwake();
  document.addEventListener("visibilitychange", stayAwake);
  setInterval(count, 10000);
})();
