// The worst places, worst first, beside the board: of each worker and edge the worst, each leading to its fall.

import { VERDICTS } from "./plan.js";

const WORSE = "daf"; // each letter worse than those before it; what holds is no finding
const MOST = 6;

// Of each worker and edge the place with the worst verdict, among equals with the least room.
export function worstPlaces(workers) {
  const found = workers.flatMap((worker) => {
    const { verdict, edge, needed_m: needed, available_m: available } = worker.edges;
    const worst = new Map();
    [...verdict].forEach((letter, number) => {
      const rank = WORSE.indexOf(letter);
      if (rank < 0) return;
      const room = needed[number] === null || available[number] === null ? -Infinity : available[number] - needed[number];
      const known = worst.get(edge.at[number]);
      if (!known || rank > known.rank || (rank === known.rank && room < known.room)) worst.set(edge.at[number], { worker, number, rank, room });
    });
    return [...worst.values()];
  });
  return found.sort((a, b) => b.rank - a.rank || a.room - b.room);
}

export class Worst {
  constructor(place, state, words, follow) {
    Object.assign(this, { place, state, words, follow });
  }

  draw(workers) {
    const { place, words } = this;
    const found = worstPlaces(workers);
    const held = document.activeElement?.dataset?.finding;
    place.hidden = !found.length;
    const rows = found.slice(0, MOST).map((one) => {
      const row = document.createElement("li");
      row.append(this.button(one));
      return row;
    });
    place.querySelector("ol").replaceChildren(...rows);
    place.querySelector("[data-more]").textContent = found.length > MOST ? words.more.replace("%s", found.length - MOST) : "";
    if (held) place.querySelector(`[data-finding="${CSS.escape(held)}"]`)?.focus({ preventScroll: true });
  }

  button({ worker, number }) {
    const { words, state } = this;
    const { verdict, edge, reason, needed_m: needed, available_m: available } = worker.edges;
    const word = VERDICTS[verdict[number]], why = reason.words[reason.at[number]];
    const made = Object.assign(document.createElement("button"), { type: "button", className: "finding" });
    made.dataset.finding = `${worker.worker}|${edge.words[edge.at[number]]}`;
    const mark = Object.assign(document.createElement("span"), { className: `hatch hatch-${word}` });
    mark.setAttribute("aria-hidden", "true");
    const room = why.startsWith("clearance") && needed[number] !== null ? `: ${words.needs} ${state.shown(needed[number])}, ${words.there_is} ${state.shown(available[number])}` : "";
    const text = document.createElement("span");
    text.append(Object.assign(document.createElement("b"), { textContent: words[word] ?? word }), ` ${worker.worker}, ${edge.words[edge.at[number]]}: ${words[`asks ${why}`] ?? why}${room}`);
    made.append(mark, text);
    made.addEventListener("click", () => this.follow(number, worker));
    return made;
  }
}
