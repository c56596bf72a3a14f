// What was decided and is not kept yet. One answer at a time goes out, again and again under the same name
// until the program says that it is on the disk; only then does the page count it as kept.

const AGAIN_MS = [200, 500, 1000, 2000, 4000];
const PATIENCE_MS = 15000;

// The program gave no answer, or one that may be better next time.
export class Unanswered extends Error {}

// The program will not do this; the message is its sentence.
export class Refused extends Error {
  constructor(message, status, told) {
    super(message);
    this.status = status;
    this.told = told;
  }
}

export async function ask(path, told) {
  let answer;
  try {
    answer = await fetch(path, {
      method: told === undefined ? "GET" : "POST",
      headers: told === undefined ? {} : { "Content-Type": "application/json" },
      body: told === undefined ? undefined : JSON.stringify(told),
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.status === 204) return null;
    if (answer.ok) return await answer.json();
  } catch {
    throw new Unanswered("The program does not answer.");
  }
  if (answer.status === 403) throw new Unanswered((await answer.text()).trim());
  const said = await answer.json().catch(() => ({ error: "Something unforeseen went wrong in the program." }));
  if (answer.status >= 500) throw new Unanswered(said.error);
  throw new Refused(said.error, answer.status, said);
}

export class Outbox {
  // changed: called whenever what waits, or why it waits, is another.
  constructor(changed) {
    this.waiting = [];
    this.trouble = "";
    this.changed = changed;
    this.busy = false;
    this.wake = () => {};
  }

  // entry: {path, told, what, kept(answer), refused(error)}; `told.revision` is of what the person saw.
  put(entry) {
    entry.told.token = crypto.randomUUID();
    this.waiting.push(entry);
    this.changed();
    if (!this.busy) this.send();
  }

  async send() {
    this.busy = true;
    let tries = 0;
    while (this.waiting.length) {
      const entry = this.waiting[0];
      // An undo is of what is kept by then.
      if (entry.late && !tries) entry.told.revision = entry.late();
      try {
        const answer = await ask(entry.path, entry.told);
        this.waiting.shift();
        // Our own answer in between is no news to the person who gave it.
        for (const later of this.waiting) {
          if (later.told.revision === answer.n - 1) later.told.revision = answer.n;
        }
        this.trouble = "";
        tries = 0;
        entry.kept(answer);
      } catch (error) {
        if (error instanceof Refused) {
          this.waiting.shift();
          this.trouble = "";
          entry.refused(error);
        } else if (error instanceof Unanswered) {
          this.trouble = error.message;
          this.changed();
          const pause = AGAIN_MS[Math.min(tries++, AGAIN_MS.length - 1)];
          await new Promise((done) => {
            this.wake = done;
            setTimeout(done, pause);
          });
        } else {
          throw error;
        }
      }
      this.changed();
    }
    this.busy = false;
  }
}
