// The roof drawing put together: state, plan, hand, panel, live falls, one fall in time, the view in space, keeping.

import { Fall } from "./fall.js";
import { Hand } from "./hand.js";
import { Live } from "./live.js";
import { Panel, paragraph } from "./panel.js";
import { Plan, VERDICTS } from "./plan.js";
import { Solid } from "./solid.js";
import { State } from "./state.js";
import { newThing } from "./things.js";
import { Trace } from "./trace.js";
import { Underlay } from "./underlay.js";
import { Worst } from "./worst.js";

const root = document.getElementById("drawing");
const words = JSON.parse(root.dataset.words);
const token = document.querySelector('meta[name="csrf-token"]').content;
const find = (selector) => root.querySelector(selector);

const told = await (await fetch(`/api/drawing/${root.dataset.job}`)).json();
if (told.live) begin(told);
else find("[data-answer]").replaceChildren(...(told.errors ?? [{ expected: told.detail }]).map((one) => paragraph(`${one.field ?? ""} ${one.expected}`, "fault")));

function begin(first) {
  const state = new State(first);
  state.faults = [];
  const plan = new Plan(find("svg[data-plan]"), state);
  const live = new Live(state, token);
  const hand = new Hand(plan, state, words);
  const panel = new Panel(find("[data-panel]"), state, words);
  const solid = new Solid(find("canvas[data-solid]"), state, plan);
  const fall = new Fall(find("[data-fall]"), state, words);
  new Underlay(find("[data-underlay]"), plan, hand, words);
  const trace = new Trace(find("form[data-trace-bar]"), plan, state, hand, words);
  const worst = new Worst(find("[data-worst]"), state, words, follow);
  Object.assign(window, { ropewrightDrawing: { state, plan, live, solid, trace } }); // for measuring
  const kept = `ropewright-drawing-${state.job}`;

  restore();
  plan.fit();
  panel.draw();
  showWorkers();
  answer();
  buttons();

  state.addEventListener("change", () => {
    hand.draw();
    buttons();
    remember();
  });
  state.addEventListener("answer", () => {
    plan.draw();
    solid.soon();
    answer();
    showWorkers();
  });
  plan.svg.addEventListener("side", (event) => panel.chooseSide(event.detail.path, event.detail.number));
  plan.svg.addEventListener("open", () => find("[data-panel] input, [data-panel] select, [data-panel] button")?.focus());
  plan.svg.addEventListener("hover", (event) => hover(event.detail));
  plan.svg.addEventListener("edgepoint", (event) => follow(event.detail));

  find("select[data-worker]").addEventListener("change", (event) => {
    plan.worker = event.target.value;
    plan.draw();
    solid.soon();
    answer();
  });
  act("undo", () => state.undo());
  act("redo", () => state.redo());
  act("fit", () => plan.fit());
  act("closer", () => plan.zoom(1.25, plan.size.map((v) => v / 2)));
  act("farther", () => plan.zoom(0.8, plan.size.map((v) => v / 2)));
  act("solid", toggleSolid);
  act("save", save);
  find("select[data-add]").addEventListener("change", (event) => add(event.target));
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea, select")) return;
    const key = event.key.toLowerCase();
    if (key === "z" && !event.shiftKey) state.undo();
    else if (key === "y" || (key === "z" && event.shiftKey)) state.redo();
    else return;
    event.preventDefault();
    panel.draw();
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !hand.placing) return;
    hand.placing = null;
    tell("");
  });
  addEventListener("beforeunload", (event) => {
    if (state.isChanged && !state.saving && !stored()) event.preventDefault();
  });

  function act(name, doing) {
    find(`button[data-do="${name}"]`).addEventListener("click", () => {
      doing();
      panel.draw();
    });
  }

  function buttons() {
    find('button[data-do="undo"]').disabled = !state.past.length;
    find('button[data-do="redo"]').disabled = !state.future.length;
    find('button[data-do="save"]').disabled = !state.isChanged;
  }

  // A thing is set down where the next tap goes, or at once in the middle when it was chosen by keyboard.
  function add(select) {
    const kind = select.value;
    select.value = "";
    if (!kind) return;
    trace.leave();
    hand.placing = null;
    tell("");
    if (kind.startsWith("trace ")) return trace.begin(kind.slice(6));
    const put = (at) => {
      state.remember();
      const [list, table] = newThing(state, kind, at);
      const path = state.insert(list, table);
      state.changed();
      state.select(path);
      tell("");
    };
    hand.placing = put;
    tell(words.tapPlace);
    find("button[data-middle]").hidden = false;
    find("button[data-middle]").onclick = () => {
      hand.placing = null;
      put(plan.middle);
    };
  }

  function tell(text) {
    find("[data-told]").textContent = text;
    find("button[data-middle]").hidden = !text;
  }

  function showWorkers() {
    const select = find("select[data-worker]");
    const names = state.live.workers.map((worker) => worker.worker);
    if (select.options.length === names.length + 1) return;
    select.replaceChildren(new Option(words.everybody, ""), ...names.map((name) => new Option(name, name, false, name === plan.worker)));
  }

  // The answer at a glance: each worker's worst place, or what is wrong with the drawing.
  function answer() {
    const place = find("[data-answer]");
    worst.draw(state.faults.length ? [] : plan.shown);
    plan.svg.classList.toggle("stale", state.faults.length > 0); // the last falls are not those of what is drawn now
    if (state.faults.length) {
      place.replaceChildren(...state.faults.map(faultLine));
      return;
    }
    place.replaceChildren(
      ...plan.shown.map((worker) => {
        const { verdict } = worker.edges;
        const at = ["f", "a", "d", "h"].map((letter) => verdict.indexOf(letter)).find((number) => number >= 0) ?? -1;
        const word = at < 0 ? "restrained" : VERDICTS[verdict[at]];
        const line = document.createElement("p");
        const mark = Object.assign(document.createElement("span"), { className: `hatch hatch-${at < 0 ? "none" : word}` });
        mark.setAttribute("aria-hidden", "true");
        line.append(mark, ` ${worker.worker} (${worker.anchor}): `, Object.assign(document.createElement("b"), { textContent: words[word] ?? word }));
        line.className = "verdict-line";
        return line;
      }),
    );
  }

  // What is wrong, with the thing by its name; the button takes hold of it.
  function faultLine({ field, expected }) {
    const path = /^(?:roof\.(?:wing|dormer|courtyard|opening)|site\.\w+|[a-z_]+)\[\d+\]|^roof(?=\.|$)/.exec(field)?.[0];
    const line = paragraph("", "fault");
    if (path && state.get(path)) {
      const take = Object.assign(document.createElement("button"), { type: "button", className: "inline", textContent: state.get(path).name ?? words[path] ?? path });
      take.addEventListener("click", () => state.select(path));
      line.append(take, ` ${field.slice(path.length).replace(/^\./, "")}: `);
    } else if (field) line.append(`${field}: `);
    line.append(expected === "offline" ? words.offline : expected);
    return line;
  }

  function hover(at) {
    const tip = find("[data-tip]");
    const near = state.faults.length ? null : plan.nearest(at, 14);
    if (!near) {
      tip.hidden = true;
      return;
    }
    tip.hidden = false;
    tip.replaceChildren(...describe(near.number).map((line) => paragraph(line)));
    tip.style.left = `${Math.max(Math.min(at[0] + 14, plan.size[0] - tip.offsetWidth), 0)}px`;
    tip.style.top = `${at[1] + 14}px`;
  }

  function describe(number) {
    return plan.shown.flatMap((worker) => {
      const edges = worker.edges;
      const letter = edges.verdict[number];
      const head = `${worker.worker}: ${words[VERDICTS[letter]] ?? VERDICTS[letter]}`;
      if (letter === "n") return [head];
      const needed = edges.needed_m[number];
      return [
        `${head} (${words[`asks ${edges.reason.words[edges.reason.at[number]]}`] ?? edges.reason.words[edges.reason.at[number]]})`,
        `${words.rope} ${state.shown(edges.taut_m[number])} · ${words.free_fall} ${state.shown(edges.free_fall_m[number])}`,
        `${words.needs} ${needed === null ? "?" : state.shown(needed)} · ${words.there_is} ${state.shown(edges.available_m[number])}`,
      ];
    });
  }

  async function follow(number, worker = plan.shown.find((one) => one.edges.verdict[number] !== "n")) {
    if (!worker) return tell(words.nobodyFalls);
    tell(words.following);
    find("button[data-middle]").hidden = true;
    const { ok, told: one, faults } = await live.post("fall", { worker: worker.worker, point: number });
    if (!ok) return tell(faults.map((fault) => fault.expected).join(" "));
    tell("");
    solid.fall = one;
    solid.soon();
    fall.show(one);
    find("[data-fall]").scrollIntoView({ block: "nearest" });
  }

  function toggleSolid() {
    const canvas = find("canvas[data-solid]");
    canvas.hidden = !canvas.hidden;
    find('button[data-do="solid"]').setAttribute("aria-pressed", String(!canvas.hidden));
    solid.soon();
  }

  async function save() {
    state.saving = true;
    const { ok, faults } = await live.save(words.drawn);
    state.saving = false;
    if (!ok) {
      state.faults = faults;
      answer();
      panel.tellFaults();
      return;
    }
    sessionStorage.removeItem(kept);
    location.assign(root.dataset.plan);
  }

  // What is drawn and not kept yet outlives a reload, in this browser's tab.
  function remember() {
    try {
      if (state.isChanged) sessionStorage.setItem(kept, JSON.stringify({ version: state.version, now: state.now }));
      else sessionStorage.removeItem(kept);
    } catch {
      // no room: the page asks before it is left
    }
  }

  function stored() {
    try {
      return sessionStorage.getItem(kept) !== null;
    } catch {
      return false;
    }
  }

  function restore() {
    const text = stored() ? sessionStorage.getItem(kept) : null;
    if (!text) return;
    const { version, now } = JSON.parse(text);
    if (version !== state.version) {
      sessionStorage.removeItem(kept);
      return;
    }
    state.past.push(structuredClone(state.now));
    state.now = now;
    tell(words.restored);
    find("button[data-middle]").hidden = true;
    live.ask();
  }
}
