/** Asks for turn cards: one question under way at a time, at most ten a second, and only the newest of those that wait. */

import { turns } from "../api.js";

const LEAST_MS = 100;

export class Asker {
  #running = null;
  #next = null;
  #timer = null;
  #lastMs = -LEAST_MS;
  #take;

  /** `take` gets the question and its outcome: {answer} or {error}. */
  constructor(take) {
    this.#take = take;
  }

  /** Asks; a question that still waits gives way to this one. */
  ask(question) {
    this.#next = question;
    this.#soon();
  }

  /** Cancels what is under way and forgets what waits: nothing of it is shown. */
  drop() {
    clearTimeout(this.#timer);
    this.#running?.abort();
    [this.#running, this.#next, this.#timer] = [null, null, null];
  }

  #soon() {
    if (this.#running || this.#timer !== null || !this.#next) return;
    this.#timer = setTimeout(() => this.#send(), Math.max(0, LEAST_MS - (performance.now() - this.#lastMs)));
  }

  async #send() {
    const question = this.#next;
    const mine = (this.#running = new AbortController());
    [this.#next, this.#timer, this.#lastMs] = [null, null, performance.now()];
    let outcome;
    try {
      outcome = { answer: await turns.card(question.request, mine.signal) };
    } catch (error) {
      outcome = { error };
    }
    if (this.#running !== mine) return; // cancelled, or asked anew
    this.#running = null;
    this.#take(question, outcome, Boolean(this.#next));
    this.#soon();
  }
}
