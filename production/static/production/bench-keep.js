// What is typed at the bench outlasts a lost connection: it stays on this device and is sent when the way is free again.
// Each form carries a number of its own, so that sending it twice has one effect. Without this file forms work as ever.
(() => {
  const QUEUE = "bench-kept";
  const draftKey = (form) => `bench-draft:${form.dataset.keep}`;

  const read = (key, empty) => {
    try {
      return JSON.parse(localStorage.getItem(key)) ?? empty;
    } catch {
      return empty;
    }
  };
  const write = (key, what) => {
    try {
      localStorage.setItem(key, JSON.stringify(what));
      return true;
    } catch {
      return false; // No room, or a private window.
    }
  };

  // ── What is half typed ──────────────────────────────────────────────────────────────────────────────────────────
  const boxes = (form) => [...form.elements].filter((box) => box.name && box.type !== "hidden" && box.type !== "submit");

  const noteDraft = (form) => {
    const draft = {};
    for (const box of boxes(form)) {
      if (box.type === "radio" || box.type === "checkbox") {
        if (box.checked) draft[box.name] = box.value;
      } else if (box.value) {
        draft[box.name] = box.value;
      }
    }
    write(draftKey(form), draft);
  };

  const restoreDraft = (form) => {
    const draft = read(draftKey(form), {});
    if (form.querySelector(".field-error, .error-summary")) return; // The page shows what was typed by itself.
    for (const box of boxes(form)) {
      if (!(box.name in draft)) continue;
      if (box.type === "radio" || box.type === "checkbox") {
        box.checked = box.value === draft[box.name];
      } else if (!box.value) {
        box.value = draft[box.name];
      }
    }
  };

  // ── Sending ─────────────────────────────────────────────────────────────────────────────────────────────────────
  const send = async (url, body) => {
    const answer = await fetch(url, { method: "POST", body: new URLSearchParams(body), credentials: "same-origin" });
    if (answer.status >= 500) throw new Error("The workshop's machine does not answer.");
    return answer;
  };
  const isTaken = (answer) => answer.ok && answer.redirected && !answer.url.includes("/sign-in/");

  const show = async (answer) => {
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const main = page.querySelector("main");
    if (!main) return window.location.reload();
    document.querySelector("main").replaceWith(main);
    document.title = page.title;
    if (answer.redirected) history.replaceState(null, "", answer.url);
    window.htmx?.process(main);
    bind();
    window.scrollTo(0, 0);
  };

  const keep = (form, body) => {
    const queue = read(QUEUE, []);
    queue.push({ url: form.action, body, what: form.dataset.what });
    if (!write(QUEUE, queue)) return false;
    localStorage.removeItem(draftKey(form));
    for (const button of form.querySelectorAll("button")) button.disabled = true;
    tell();
    return true;
  };

  const tell = (refused) => {
    const place = document.querySelector("[data-kept]");
    if (!place) return;
    const kept = read(QUEUE, []);
    const words = kept.map((one) => one.what).join(", ");
    place.hidden = !kept.length && !refused;
    place.textContent = refused
      ? `Not taken: ${refused}. Look at the weigh-out below and type it again.`
      : `No connection. Kept on this device: ${words}. It is sent when the connection is back.`;
  };

  let isSending = false;
  const sendKept = async () => {
    if (isSending) return;
    isSending = true;
    const refused = [];
    let last = null;
    try {
      for (let queue = read(QUEUE, []); queue.length; queue = read(QUEUE, [])) {
        const [one, ...rest] = queue;
        const token = document.querySelector("[name=csrfmiddlewaretoken]");
        const answer = await send(one.url, { ...one.body, ...(token ? { csrfmiddlewaretoken: token.value } : {}) });
        if (answer.url.includes("/sign-in/")) break; // It waits until somebody has signed in.
        if (isTaken(answer)) last = answer;
        else refused.push(one.what);
        write(QUEUE, rest);
      }
    } catch {
      // Still no way out: it stays where it is.
    }
    isSending = false;
    if (last && new URL(last.url).pathname === window.location.pathname) await show(last);
    tell(refused.join(", "));
  };

  const submit = async (event) => {
    const form = event.target;
    event.preventDefault();
    const body = Object.fromEntries(new FormData(form));
    for (const button of form.querySelectorAll("button")) button.disabled = true;
    try {
      const answer = await send(form.action, body);
      if (isTaken(answer)) localStorage.removeItem(draftKey(form));
      await show(answer);
    } catch {
      if (!keep(form, body)) form.submit();
    }
  };

  const bind = () => {
    for (const form of document.querySelectorAll("form[data-keep]")) {
      restoreDraft(form);
      form.addEventListener("input", () => noteDraft(form));
      form.addEventListener("submit", submit);
    }
    tell();
  };

  bind();
  sendKept();
  window.addEventListener("online", sendKept);
  setInterval(() => read(QUEUE, []).length && sendKept(), 15000);
})();
