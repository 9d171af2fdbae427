// Time since the stop on this device. It runs on a clock that nobody can set; what only the wall clock can
// tell (a reload, a sleep) is a guess until the server has been asked.
class WalkClock {
  constructor() { this.offset = null; this.sure = false; this.unsureFrom = 0; this.hiddenAt = null; }
  static steady() { return performance.now() / 1000; }
  get now() { return this.offset === null ? null : Math.max(WalkClock.steady() + this.offset, 0); }
  park() { this.offset = -WalkClock.steady(); this.sure = true; }
  doubted() { if (this.sure) { this.sure = false; this.unsureFrom = WalkClock.steady(); } }
  saved() { return this.offset === null ? null : { elapsed: this.now, wall: Date.now() }; }
  restore(saved) {
    if (!saved) return;
    const gone = Math.max((Date.now() - saved.wall) / 1000, 0);
    this.offset = saved.elapsed + gone - WalkClock.steady();
    this.sure = false;
    this.unsureFrom = 0;
  }
  // What the server says counts for every device; gives by how much this one was off, 0 where it was right.
  follow(elapsed, sentAt) {
    const now = WalkClock.steady(), half = (now - sentAt) / 2, offset = elapsed + half - now;
    const moved = this.offset === null ? 0 : offset - this.offset, far = Math.abs(moved) > 0.5 + half;
    const from = this.sure ? Infinity : this.unsureFrom;
    if (this.offset === null || far || !this.sure) this.offset = offset;
    this.sure = true;
    return { moved: far ? moved : 0, from };
  }
  hidden() { this.hiddenAt = { steady: WalkClock.steady(), wall: Date.now() }; }
  // A device that slept may have stopped its steady clock; then the wall clock tells how long.
  shown() {
    if (!this.hiddenAt || this.offset === null) return;
    const slept = (Date.now() - this.hiddenAt.wall) / 1000 - (WalkClock.steady() - this.hiddenAt.steady);
    this.hiddenAt = null;
    if (slept > 2) { this.offset += slept; this.doubted(); }
  }
}
