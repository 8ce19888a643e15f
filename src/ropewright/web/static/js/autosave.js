// Keep what is typed into a form as it is typed; the server holds it until the form is sent.
// <form data-autosave="/drafts/job-new">, with <output data-kept> in it to say so.
const PAUSE = 800; // ms after the last key

for (const form of document.querySelectorAll("form[data-autosave]")) {
  const told = form.querySelector("[data-kept]");
  let timer = 0;
  let turn = 0;

  const keep = async () => {
    const mine = ++turn;
    const fields = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (typeof value === "string") fields.append(name, value);
    }
    let said = told?.dataset.lost ?? "";
    try {
      const reply = await fetch(form.dataset.autosave, { method: "POST", body: fields });
      if (reply.ok) said = told?.dataset.kept ?? "";
    } catch {
      // the connection is lost: said below; the next key tries again
    }
    if (told && mine === turn) told.textContent = said;
  };

  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(keep, PAUSE);
  });
  form.addEventListener("submit", () => clearTimeout(timer));
}
