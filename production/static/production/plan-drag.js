// Drag a batch that may move along the timeline. Letting go asks what that day would bring; nothing is saved by it.
(() => {
  const DAY_MS = 86400000;

  const dayAfter = (iso, days) => {
    const [year, month, day] = iso.split("-").map(Number);
    return new Date(Date.UTC(year, month - 1, day) + days * DAY_MS).toISOString().slice(0, 10);
  };

  for (const bar of document.querySelectorAll("[data-move]")) {
    let startX = null;
    let days = 0;

    const settle = (isDropped) => {
      if (startX === null) return;
      startX = null;
      if (isDropped && days) {
        window.location.assign(`${bar.dataset.move}?pour_on=${dayAfter(bar.dataset.day, days)}`);
      } else {
        bar.removeAttribute("transform");
      }
    };

    bar.addEventListener("pointerdown", (event) => {
      startX = event.clientX;
      days = 0;
      bar.setPointerCapture(event.pointerId);
      event.preventDefault();
    });
    bar.addEventListener("pointermove", (event) => {
      if (startX === null) return;
      const scale = bar.ownerSVGElement.getScreenCTM().a;
      const width = Number(bar.dataset.dayWidth);
      days = Math.round((event.clientX - startX) / scale / width);
      bar.setAttribute("transform", `translate(${days * width} 0)`);
    });
    bar.addEventListener("pointerup", () => settle(true));
    bar.addEventListener("pointercancel", () => settle(false));
  }
})();
