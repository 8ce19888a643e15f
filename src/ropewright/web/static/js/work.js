// Follow long work by the server's own telling; when it has ended the page is loaded anew to show what came out.
// <section data-work="/api/work/3">, with <progress>, <output data-doing> in it.
for (const box of document.querySelectorAll("[data-work]")) {
  const bar = box.querySelector("progress");
  const doing = box.querySelector("[data-doing]");
  const source = new EventSource(`${box.dataset.work}/events`);
  source.onmessage = (event) => {
    const work = JSON.parse(event.data);
    bar.value = work.share;
    if (work.doing) doing.textContent = work.doing;
    if (work.state !== "waiting" && work.state !== "working") {
      source.close();
      location.reload();
    }
  };
}
