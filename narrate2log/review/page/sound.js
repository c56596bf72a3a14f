// Plays stretches of the run. Two players take turns: while one is heard, the other already stands where the
// next item begins, so that it sounds at once, however long the recording is.

import { ask } from "./outbox.js";
import { run } from "./run.js";

const NEAR_S = 0.03;
// Sound that a player cannot decode is left out without an error; so long after the start it would be there.
const SILENT_S = 0.5;

export class Deck {
  // moved(time): while it plays. told(text): what is wrong with the sound, or nothing.
  constructor(host, { moved, told, ended }) {
    this.moved = moved;
    this.told = told;
    this.ended = ended;
    this.rate = 1;
    this.until = null;
    this.host = host;
    this.players = [this.player(), this.player()];
    host.append(...this.players);
    this.show();
  }

  // While something is heard, and only then, every picture of the screen is in step with it.
  frame() {
    if (this.following || !this.playing) return;
    this.following = true;
    requestAnimationFrame(() => {
      this.following = false;
      this.follow();
      this.frame();
    });
  }

  get front() {
    return this.players[0];
  }

  get playing() {
    return !this.front.paused;
  }

  get time() {
    const source = run.sources[this.front.source];
    return source ? source.offset + this.front.currentTime : 0;
  }

  player() {
    const made = document.createElement("video");
    Object.assign(made, { preload: "auto", playsInline: true, source: -1, cue: null, disableRemotePlayback: true });
    made.tabIndex = -1;
    made.setAttribute("aria-hidden", "true");
    made.addEventListener("error", () => this.cannot(made));
    made.addEventListener("ended", () => made === this.front && this.next());
    made.addEventListener("timeupdate", () => made === this.front && this.follow());
    made.addEventListener("playing", () => this.frame());
    return made;
  }

  show() {
    this.players.forEach((player, at) => player.classList.toggle("behind", at > 0));
    const source = run.sources[this.front.source];
    this.host.hidden = !source?.picture;
  }

  // The source that is on at a moment; -1 if it is not at hand.
  sourceAt(time) {
    let at = run.sources.findLastIndex((source) => source.offset <= time + 0.0005);
    if (at < 0) at = run.sources.length ? 0 : -1;
    return at >= 0 && this.address(at) ? at : -1;
  }

  address(at) {
    const source = run.sources[at];
    if (source?.where !== "here") return null;
    if (source.copy === "sound" || source.copy === "picture") return `copied/${at}?${source.copy}`;
    return source.unplayable ? null : `original/${at}`;
  }

  cue(player, time) {
    const at = this.sourceAt(time);
    if (at < 0) return false;
    const address = this.address(at);
    if (player.address !== address) {
      player.address = address;
      player.source = at;
      player.src = address;
    }
    const inside = Math.max(0, time - run.sources[at].offset);
    player.cue = time;
    if (Math.abs(player.currentTime - inside) > NEAR_S) player.currentTime = inside;
    return true;
  }

  // Get ready for what will likely be played next.
  prepare(time) {
    const back = this.players[1];
    if (back.cue !== time || back.address !== this.address(this.sourceAt(time))) {
      back.pause();
      this.cue(back, time);
    }
  }

  // Play from a moment, up to another one or (null) until told to stop. Whether there is anything to hear.
  play(from, to = null) {
    if (this.players[1].cue === from && this.players[1].error === null) {
      this.front.pause();
      this.front.cue = null;
      this.players.reverse();
      this.show();
    }
    const player = this.front;
    if (!this.cue(player, from)) return false;
    this.show();
    // What is played from here on is no longer at its cue.
    player.cue = null;
    player.playbackRate = this.rate;
    this.until = to;
    this.begun = from;
    player.play().then(
      () => this.told(""),
      (error) => {
        if (error.name === "NotAllowedError") this.told("Press the space bar, or “again”, to hear it: the browser waits for a first key.");
      },
    );
    return true;
  }

  // A better copy of what is heard has come: go on in that one.
  goOn() {
    if (this.front.address !== this.address(this.front.source)) this.play(this.time, this.until);
  }

  stop() {
    this.front.pause();
    this.ended();
  }

  slower() {
    this.rate = this.rate === 1 ? 0.75 : this.rate === 0.75 ? 0.5 : 1;
    for (const player of this.players) player.playbackRate = this.rate;
    return this.rate;
  }

  follow() {
    if (!this.playing) return;
    const { time } = this;
    this.moved(time);
    if (this.until !== null && time >= this.until) this.stop();
    else if (time - this.begun > SILENT_S && this.mute()) this.cannot(this.front);
  }

  // Whether the player shows no sign of a sound, or of a picture, that the recording has.
  mute() {
    const { front } = this;
    if (front.address?.startsWith("copied")) return false;
    const silent = front.webkitAudioDecodedByteCount === 0 || front.mozHasAudio === false;
    return silent || (run.sources[front.source].picture && front.videoWidth === 0);
  }

  next() {
    const source = run.sources[this.front.source];
    const end = source.offset + source.duration;
    const more = this.front.source + 1 < run.sources.length && (this.until === null || this.until > end);
    if (!more || !this.play(run.sources[this.front.source + 1].offset, this.until)) this.ended();
  }

  // The browser cannot play the recording itself: ask for a copy, and go on as soon as it is there.
  cannot(player) {
    const source = run.sources[player.source];
    if (!source || source.unplayable || player.address?.startsWith("copied")) return;
    source.unplayable = true;
    for (const one of this.players) one.pause();
    ask("copy", { source: player.source }).then(() => this.changed?.(), () => {});
  }
}
