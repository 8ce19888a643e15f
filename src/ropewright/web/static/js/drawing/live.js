// Ask the server for the falls while something moves: one question at a time, the newest next, late answers dropped.

export class Live {
  constructor(state, token) {
    Object.assign(this, { state, token });
    this.asking = false;
    this.again = false;
    this.times = []; // of the last answers, from change to drawn [ms]
    state.addEventListener("change", () => this.ask());
  }

  async ask() {
    this.since ??= performance.now();
    if (this.asking) {
      this.again = true;
      return;
    }
    this.asking = true;
    this.again = false;
    const since = this.since;
    this.since = undefined;
    try {
      const answer = await this.post("live", {});
      if (answer.ok) {
        this.state.live = answer.told;
        this.state.faults = [];
      } else this.state.faults = answer.faults;
      this.state.dispatchEvent(new CustomEvent("answer", { detail: answer.ok }));
      this.times.push(performance.now() - since);
      if (this.times.length > 200) this.times.shift();
    } catch {
      this.state.faults = [{ field: "", expected: "offline" }];
      this.state.dispatchEvent(new CustomEvent("answer", { detail: false }));
    }
    this.asking = false;
    if (this.again) this.ask();
  }

  async post(what, more) {
    const { job, version, now } = this.state;
    const reply = await fetch(`/api/drawing/${job}/${what}`, {
      method: "POST",
      headers: { "content-type": "application/json", "x-csrf-token": this.token },
      body: JSON.stringify({ based_on: version, fields: now.fields, ...more }),
    });
    const told = await reply.json();
    return { ok: reply.ok, status: reply.status, told, faults: reply.ok ? [] : faultsOf(told) };
  }

  async save(note) {
    const { job, version, now } = this.state;
    const reply = await fetch(`/api/jobs/${job}`, {
      method: "PATCH",
      headers: { "content-type": "application/json", "x-csrf-token": this.token },
      body: JSON.stringify({ based_on: version, fields: now.fields, note }),
    });
    const told = await reply.json();
    return { ok: reply.ok, told, faults: reply.ok ? [] : faultsOf(told) };
  }
}

function faultsOf(told) {
  return told.faults ?? told.errors ?? [{ field: "", expected: told.detail ?? told.title ?? "" }];
}
