// Redraw the falls while a set-up is changed; the server does the sums, the address keeps the set-up.
const form = document.querySelector("form[data-fall-bench]");
const shown = document.getElementById("shown");
let latest = 0;
let waiting = 0;

function query() {
  return new URLSearchParams(new FormData(form));
}

async function redraw() {
  const turn = ++latest;
  try {
    const reply = await fetch(`${form.dataset.shown}?${query()}`);
    const text = await reply.text(); // escaped by the server
    if (turn === latest && reply.ok) shown.innerHTML = text; // a newer change wins
  } catch {
    return; // the connection is gone: what was typed stands, the next change asks again
  }
  history.replaceState(null, "", `?${query()}`);
}

// The slider stands for the first number of its field, in its own unit; other units are left alone.
function slideFor(range) {
  const field = form.elements.namedItem(range.dataset.slides);
  const unit = range.dataset.unit;
  const follow = () => {
    const match = /^\s*([\d.,]+)\s*(\S+)\s*$/.exec(field.value);
    if (match && match[2] === unit) range.value = match[1].replace(/,/g, "");
  };
  range.hidden = false;
  follow();
  field.addEventListener("input", follow);
  range.addEventListener("input", () => {
    field.value = `${range.value} ${unit}`;
  });
}

form.querySelectorAll("input[data-slides]").forEach(slideFor);
form.addEventListener("input", (event) => {
  if (event.target.hasAttribute("data-reloads")) {
    form.requestSubmit();
    return;
  }
  clearTimeout(waiting);
  waiting = setTimeout(redraw, 40);
});
