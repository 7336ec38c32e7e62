// @ts-check
"use strict";
/* What has been typed since the file was read, saved or not: a list of steps, each of one or more changes, and what the program
   says of the text that they make. Nothing is worked out here: all steps are sent each time, undoing sends fewer. */
/** @typedef {{what: "set" | "unset" | "add" | "remove", place: (string | number)[], value?: any}} Change */
/** @typedef {{file: string, base: string, revision: number, judged_as: number, edits: Change[], saved: number, unsaved: boolean, outside: boolean,
 *   values: any, full: any, faults: {place: (string | number)[], field: string, words: string}[]}} Stated */
/** @typedef {Error & {status?: number, there?: string[], fields?: Record<string, string>}} Refusal */
const Drafting = (() => {
  const PAUSE = 300; // ms without a key before what is typed is sent

  /** Ask the program something and return its answer.
   * @type {(name: string, question?: any) => Promise<any>} */
  async function ask(name, question) {
    const reply = await fetch(name, question === undefined ? {} : { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(question) });
    const found = await reply.json();
    if (!reply.ok) throw Object.assign(new Error(found.mistake), { status: reply.status, there: found.there, fields: found.fields });
    return found;
  }

  const same = (one, other) => one.length === other.length && one.every((step, k) => step === other[k]);

  /** `told`: shown(stated) when there is something new to show, pending(boolean), note(words) of what went wrong. */
  function create(told, asking = ask) {
    /** @type {Stated | null} */
    let stated = null;
    /** @type {Change[][]} */
    let steps = [];
    /** @type {Change[][]} */
    let undone = [];
    let clock = 0, open = false; // open: the last step may still be typed on
    let busy = Promise.resolve(), waiting = 0;

    /** One question after the other, so that each is asked on what the one before has given; `quiet`: nothing typed waits in it. */
    function queue(work, quiet = false) {
      waiting += 1;
      if (!quiet) told.pending(true);
      busy = busy.then(work).catch(refused).then(() => {
        waiting -= 1;
        if (!waiting && !clock) told.pending(false);
      });
      return busy;
    }

    function take(found) {
      stated = found;
      told.shown(found);
    }

    const known = () => ({ base: stated && stated.base, revision: stated && stated.revision });

    async function refused(error) {
      const { status, message } = /** @type {Refusal} */ (error);
      if (status === undefined) { told.note(`The program cannot be reached (${message}); what you have typed is kept here and sent with the next change.`); return; }
      if (status === 409) {
        const last = steps.length ? Drafting.words(steps[steps.length - 1]) : "";
        await fresh();
        told.note(`Not taken over: ${message}.${last ? ` Your last change was: ${last}.` : ""}`);
      } else if (status === 422) {
        const lost = Drafting.words(steps.pop() || []);
        undone = [];
        told.note(`Not taken over: ${lost}: ${message}.`);
        take(await asking("edit", { ...known(), edits: steps.flat() }));
      } else told.note(message);
    }

    async function fresh() {
      const found = await asking("draft");
      restated(found);
      take(found);
    }

    /** Take over the program's steps; those that were made here stay as they were made where they are the same changes. */
    function restated(found) {
      if (JSON.stringify(steps.flat()) === JSON.stringify(found.edits)) return;
      steps = found.edits.map((one) => [one]);
      undone = [];
      open = false;
    }

    /** How many steps the file does not hold; 0 also where some of those that it holds have been undone. */
    function unsaved() {
      let changes = 0;
      return steps.filter((step) => { changes += step.length; return changes > (stated ? stated.saved : 0); }).length;
    }

    function send() {
      clearTimeout(clock);
      clock = 0;
      return queue(async () => take(await asking("edit", { ...known(), edits: steps.flat() })));
    }

    function soon(wait) {
      clearTimeout(clock);
      told.pending(true);
      clock = setTimeout(send, wait);
    }

    /** Make a step of one or more changes. */
    function change(changes, { typing = false } = {}) {
      const last = steps[steps.length - 1], [first] = changes;
      const goes = open && last && changes.length === 1 && last.length === 1 && ["set", "unset"].includes(first.what) && ["set", "unset"].includes(last[0].what)
        && same(last[0].place, first.place);
      if (goes) steps[steps.length - 1] = changes; else steps.push(changes);
      undone = [];
      open = typing;
      told.note("");
      if (typing) soon(PAUSE); else send();
    }

    function back(from, to) {
      const step = from.pop();
      if (!step) return;
      to.push(step);
      open = false;
      send();
    }

    return {
      change,
      /** What is typed next is a step of its own; what waits is sent. */
      rest: () => { open = false; if (clock) send(); },
      undo: () => back(steps, undone),
      redo: () => back(undone, steps),
      refresh: () => queue(fresh, true),
      save: () => { open = false; if (clock) send(); return queue(async () => take(await asking("save", known())), true); },
      ontoFile: (drop) => queue(async () => { const found = await asking("onto_file", { ...known(), drop }); restated(found); take(found); }),
      idle: () => !waiting && !clock,
      /** Whether a place is being typed on: its field then keeps what is typed, whatever the file makes of it. */
      typing: (place) => open && steps.length > 0 && steps[steps.length - 1].length === 1 && same(steps[steps.length - 1][0].place, place),
      settled: async () => { while (waiting || clock) { await busy; await new Promise((done) => { setTimeout(done, 20); }); } },
      get steps() { return steps.length; },
      get unsaved() { return unsaved(); },
      get undone() { return undone.length; },
      get stated() { return stated; },
    };
  }

  /** A step in words. */
  function words(step) {
    return step.map(({ what, place, value }) => {
      const name = named(place);
      if (what === "set") return `${name} = ${typeof value === "string" ? value : JSON.stringify(value)}`;
      return { unset: `${name} left out`, add: `${name} added`, remove: `${name} removed` }[what];
    }).join(", ");
  }

  /** A place as a file names it.
   * @type {(place: (string | number)[]) => string} */
  const named = (place) => place.reduce((/** @type {string} */ text, step) => (typeof step === "number" ? `${text}[${step}]` : text ? `${text}.${step}` : step), "");

  /** What stands at a place in tables; undefined where nothing does. */
  const at = (tables, place) => place.reduce((now, step) => (now === undefined || now === null ? undefined : now[step]), tables);

  return { create, ask, words, named, at, same };
})();
