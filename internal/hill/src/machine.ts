// The state machine of the exchange. What it does in which mode is the table
// of internal/exchange, written into table.gen.ts; here is only how each guard
// and action of the table is carried out. A test drives this and the Go code
// with the same events and compares every state and effect.
import { limits, table } from "./table.gen";
import type { Answer, Effect, Happening, Item, Mark, Meta, Patch, Pending, Phone, Row } from "./types";

export const noMeta = (): Meta => ({ device: "", epoch: 0, person: "", contact: 0, offset: 0, offset_known: false, lock_after: 0, locked: false, ending: "", build: "", pack: "", pack_at: 0 });

export function newPhone(): Phone {
  return { mode: "opening", meta: noMeta(), rows: [], unsaved: [], no: 0, asked: [], sent_mono: 0, last_try: -1, retry_at: 0, tries: 0, room: limits.room_first,
    stalled: false, turned: false, behind: false, checked: [], why: "", lost: 0, wall: 0, mono: 0 };
}

export const afterTurn = (m: Meta, person: string): Meta => ({ ...m, epoch: m.epoch + 1, person, pack: "", pack_at: 0, locked: false, ending: "" });
export const afterWipe = (m: Meta): Meta => ({ ...noMeta(), device: m.device, epoch: m.epoch + 1, lock_after: m.lock_after, build: m.build });

export function applyMark(m: Mark, r: Row): Row {
  const out = { ...r, exported: r.exported || m.exported };
  if (r.state === "sent" && m.state !== "sent" && !m.again) return out;
  return { ...out, state: m.state, seq: m.seq, code: m.code, sentence: m.sentence, build: m.build };
}

export function timeout(bytes: number): number {
  const short = Math.min(bytes, 4096);
  return 15000 + 4 * short + Math.trunc((bytes - short) / 8);
}

const may = (s: Phone) => s.last_try < 0 || s.mono - s.last_try >= limits.min_gap;
const own = (s: Phone, r: Row) => r.item.author === s.meta.person;
const sendable = (s: Phone, r: Row) => !s.behind && r.state === "kept" && (s.meta.ending === "revoked" || (s.meta.person !== "" && own(s, r)));
const left = (s: Phone) => s.rows.some((r) => sendable(s, r));
export const waiting = (s: Phone) => s.unsaved.length + s.rows.filter((r) => r.state !== "sent").length;
export const heldFor = (s: Phone) => s.rows.filter((r) => r.state !== "sent" && !own(s, r)).length;
const ownUnsaved = (s: Phone) => s.unsaved.filter((p) => p.item.author === s.meta.person).length;
export const keptBack = (s: Phone) => s.rows.filter((r) => own(s, r) && r.state === "set_aside" && !r.exported).length;
const safe = (s: Phone) => s.meta.ending === "done" && !s.behind && ownUnsaved(s) === 0 && keptBack(s) === 0 && !left(s);
const packOld = (s: Phone) => { const age = s.wall - s.meta.pack_at; return s.meta.pack === "" || s.meta.locked || age > limits.pack_age || age < -limits.pack_age; };
export const clockShown = (m: Meta) => m.offset_known && Math.abs(m.offset) > limits.clock_off;

const guards: Record<string, (s: Phone) => boolean> = {
  something_left: left,
  something_left_may: (s) => left(s) && may(s),
  nobody: (s) => s.meta.person === "",
  ending: (s) => s.meta.ending !== "",
  ending_safe: safe,
  ending_safe_may: (s) => safe(s) && may(s),
  checked: (s) => safe(s) && !s.rows.some((r) => own(s, r) && r.state === "sent" && !s.checked.includes(r.item.id)),
  revoked: (s) => s.meta.ending === "revoked",
  revoked_clear: (s) => s.meta.ending === "revoked" && !s.behind && !left(s),
  pack_old: packOld,
  pack_old_may: (s) => packOld(s) && may(s),
  stalled: (s) => s.stalled,
  same_hand: (s) => !s.turned,
  early: (s) => s.mono < s.retry_at,
};

class Doing {
  out: Effect[] = [];
  constructor(public s: Phone, public e: Happening) {}
  put(e: Effect) { this.out.push(e); }
  tell(say: string, count = 0, sentence = "") {
    const e: Effect = { kind: "tell", say };
    if (count) e.count = count;
    if (sentence) e.sentence = sentence;
    this.put(e);
  }
  amend(patch: Patch) {
    this.s.meta = { ...this.s.meta, ...patch };
    this.put(clean({ kind: "amend", epoch: this.s.meta.epoch, person: this.s.meta.person, patch }));
  }
  ask(e: Effect) {
    const s = this.s;
    s.no++;
    s.sent_mono = s.last_try = s.mono;
    s.asked = e.ids ?? [];
    this.put(clean({ ...e, no: s.no, person: s.meta.person }));
  }
  lockIfDue() {
    const s = this.s;
    if (s.meta.person === "" || s.meta.locked || s.meta.lock_after <= 0) return;
    const away = s.wall - s.meta.contact;
    if (away > s.meta.lock_after || away < -s.meta.lock_after) {
      this.put({ kind: "drop_pack" });
      this.amend({ locked: true, pack: "" });
      this.tell("locked");
    }
  }
  row(id: string) { return this.s.rows.findIndex((r) => r.item.id === id); }
  unsaved(id: string) { return this.s.unsaved.findIndex((p) => p.item.id === id); }
  tally() { this.put(clean({ kind: "tally", count: this.s.rows.filter((r) => r.state !== "sent").length })); }
  store(items: Pending[]) { if (items.length) this.put(clean({ kind: "put", epoch: this.s.meta.epoch, items })); }
  hold() {
    const i = this.e.item as Item;
    if (this.row(i.id) < 0 && this.unsaved(i.id) < 0) this.s.unsaved = [...this.s.unsaved, { item: i, size: this.e.size ?? 0 }];
  }
  mark(marks: Mark[]) {
    if (!marks.length) return;
    for (const m of marks) {
      const i = this.row(m.id);
      if (i >= 0) this.s.rows[i] = applyMark(m, this.s.rows[i]!);
      if (m.state === "set_aside" && !m.exported) this.tell("set_aside", 1, m.sentence);
    }
    this.put({ kind: "write", marks });
  }
  heard() {
    const s = this.s, a = this.e.answer as Answer;
    s.tries = 0;
    const wall = s.wall;
    const patch: Patch = { contact: wall, offset: a.at - (wall - Math.trunc((s.mono - s.sent_mono) / 2)), offset_known: true };
    if (a.lock_after > 0 && a.lock_after !== s.meta.lock_after) patch.lock_after = a.lock_after;
    if (a.build !== "" && a.build !== s.meta.build) patch.build = a.build;
    const again = s.rows.filter((r) => r.state === "set_aside" && r.code === "newer" && a.build !== "" && r.build !== a.build).map((r) => mark(r.item.id, "kept"));
    this.amend(patch);
    this.mark(again);
  }
  results(): number {
    const a = this.e.answer as Answer, marks: Mark[] = [];
    let sent = 0, off = 0;
    for (const r of a.results ?? []) {
      const i = this.row(r.id);
      if (i < 0) continue;
      const had = this.s.rows[i]!;
      const m = mark(r.id, "kept");
      if (r.outcome === "created" || r.outcome === "exists" || r.outcome === "held") {
        m.state = "sent"; m.seq = r.seq; m.code = r.outcome === "held" ? "held" : "";
        if (had.state !== "sent") sent++;
      } else if (r.outcome === "refused") {
        m.state = "set_aside"; m.code = r.code; m.sentence = r.sentence; m.build = a.build;
      } else { off++; continue; }
      if (had.state !== "sent" || (m.state === "sent" && had.seq !== m.seq)) marks.push(m);
    }
    this.mark(marks);
    if (marks.length) this.tally();
    if (sent) this.tell("sent", sent);
    return off;
  }
  arm(at: number) { this.s.retry_at = at; this.put(clean({ kind: "arm", at })); }
  turnTo(person: string) {
    const s = this.s;
    this.put(clean({ kind: "turn", epoch: s.meta.epoch, person }));
    s.meta = afterTurn(s.meta, person);
    s.turned = true;
    const n = heldFor(s);
    if (n) this.tell("other_person", n);
  }
}

function mark(id: string, state: Mark["state"]): Mark { return { id, state, seq: 0, code: "", sentence: "", build: "", exported: false, again: false }; }

// clean leaves out what is empty, as the Go code does when it writes an effect.
function clean(e: Effect): Effect {
  for (const k of Object.keys(e) as (keyof Effect)[]) {
    const v = e[k];
    if (v === undefined || v === 0 || v === "" || v === false || (Array.isArray(v) && !v.length)) delete e[k];
  }
  return e;
}

const actions: Record<string, (d: Doing) => void> = {
  read: (d) => d.put({ kind: "read" }),
  adopt(d) {
    const s = d.s, got = d.e.snapshot!, had = s.meta;
    s.meta = { ...got.meta };
    s.rows = [...(got.rows ?? [])];
    s.behind = false;
    s.turned = s.mode !== "opening" && had.epoch !== got.meta.epoch;
    if (s.turned) s.no++;
    s.unsaved = s.unsaved.filter((p) => d.row(p.item.id) < 0);
    if (got.fresh && got.tally > 0) {
      s.lost = got.tally;
      d.tell("lost", s.lost);
      d.tally();
    }
    d.lockIfDue();
  },
  flush: (d) => d.store(d.s.unsaved.filter((p) => p.item.author === d.s.meta.person)),
  keep(d) {
    d.hold();
    const i = d.unsaved(d.e.item!.id);
    if (i < 0) return;
    if (d.s.meta.ending === "done") d.amend({ ending: "" });
    d.store([d.s.unsaved[i]!]);
  },
  hold: (d) => d.hold(),
  saved(d) {
    const s = d.s;
    let n = 0;
    for (const r of d.e.rows ?? []) {
      const i = d.unsaved(r.item.id);
      if (i >= 0) { s.unsaved = s.unsaved.filter((_, k) => k !== i); n++; }
      if (d.row(r.item.id) < 0) {
        s.behind = s.behind || !s.rows.length || r.n !== s.rows[s.rows.length - 1]!.n + 1;
        s.rows.push(r);
      }
    }
    if (s.behind) d.put({ kind: "read" });
    s.rows.sort((a, b) => a.n - b.n);
    if (n) d.tell("saved", waiting(s));
    d.mark(s.rows.filter((r) => r.state === "kept" && r.size > limits.max_payload).map((r) => ({ ...mark(r.item.id, "set_aside"), code: "too_big" })));
    d.tally();
  },
  not_saved(d) {
    d.tell("not_saved", d.s.unsaved.length, d.e.why ?? "");
    if (d.e.why === "turned") d.put({ kind: "read" });
  },
  send(d) {
    const s = d.s, ids: string[] = [];
    let size = 0;
    for (const r of s.rows) {
      if (!sendable(s, r)) continue;
      if (ids.length && (size + r.size + limits.envelope > s.room || ids.length === limits.max_items)) break;
      ids.push(r.item.id);
      size += r.size + limits.envelope;
    }
    d.ask({ kind: "send", ids, timeout_ms: timeout(size) });
  },
  fetch: (d) => d.ask({ kind: "fetch", timeout_ms: timeout(limits.room_first) }),
  check(d) {
    d.s.checked = [];
    d.ask({ kind: "check", ids: d.s.rows.filter((r) => own(d.s, r) && r.state === "sent").map((r) => r.item.id), timeout_ms: timeout(limits.room_first) });
  },
  take(d) {
    const s = d.s, asked = s.asked;
    d.heard();
    const off = d.results();
    s.stalled = off > 0 || asked.some((id) => { const i = d.row(id); return i >= 0 && s.rows[i]!.state === "kept"; });
    if (!s.stalled) s.room = Math.min(2 * s.room, limits.room_most);
  },
  take_late(d) { if (d.e.answer) d.results(); },
  take_pack(d) {
    const s = d.s, a = d.e.answer as Answer;
    if (a.person !== s.meta.person) d.turnTo(a.person);
    d.heard();
    const patch: Patch = { pack: a.pack, pack_at: s.wall, locked: false };
    s.meta = { ...s.meta, ...patch };
    d.put(clean({ kind: "keep_pack", no: s.no, epoch: s.meta.epoch, person: s.meta.person, patch }));
  },
  take_sums(d) {
    const s = d.s, sums = (d.e.answer as Answer).sums ?? {};
    d.heard();
    const marks: Mark[] = [];
    for (const id of s.asked) {
      const i = d.row(id);
      if (i < 0) continue;
      if (!(id in sums)) marks.push({ ...mark(id, "kept"), again: true });
      else if (sums[id] !== s.rows[i]!.item.sum) marks.push({ ...mark(id, "set_aside"), code: "differs", again: true, sentence: "The server has something else under this id." });
      else s.checked = [...s.checked, id];
    }
    d.mark(marks);
    if (marks.length) d.tally();
  },
  later(d) {
    const s = d.s;
    s.room = Math.max(limits.room_least, Math.trunc(s.room / 2));
    const wait = limits.min_gap * 2 ** Math.min(s.tries, 3);
    s.tries++;
    d.arm(s.last_try + Math.min(wait, limits.long_wait));
  },
  soon: (d) => d.arm(d.s.last_try + limits.min_gap),
  shrink(d) {
    const s = d.s;
    if (s.asked.length === 1 && s.mode === "sending") {
      d.mark([{ ...mark(s.asked[0]!, "set_aside"), code: "too_big" }]);
      d.tally();
      return;
    }
    s.room = Math.max(limits.room_least, Math.trunc(s.room / 2));
  },
  ask_sign_in: () => undefined,
  sign_out(d) {
    d.s.why = d.e.answer ? d.e.answer.code : "";
    d.tell("signed_out", waiting(d.s), d.s.why);
  },
  turn(d) {
    d.s.turned = false;
    const a = d.e.answer;
    if (a && a.person !== d.s.meta.person) d.turnTo(a.person);
  },
  revoke(d) {
    const s = d.s;
    if (s.meta.ending === "revoked") return;
    d.put({ kind: "drop_pack", all: true });
    d.amend({ ending: "revoked", pack: "" });
    d.mark(s.rows.filter((r) => r.state === "set_aside" && r.size <= limits.max_payload).map((r) => mark(r.item.id, "kept")));
    d.tell("revoked");
  },
  end(d) { if (d.s.meta.ending === "" && d.s.meta.person !== "") d.amend({ ending: "done" }); },
  wipe(d) {
    const s = d.s, all = s.meta.ending === "revoked";
    d.put(clean({ kind: "wipe", epoch: s.meta.epoch, person: s.meta.person, ids: s.rows.filter((r) => all || own(s, r)).map((r) => r.item.id), all }));
  },
  emptied(d) {
    const s = d.s, all = s.meta.ending === "revoked";
    s.rows = s.rows.filter((r) => !(all || own(s, r)));
    s.meta = afterWipe(s.meta);
    s.checked = []; s.asked = []; s.lost = 0;
    d.tally();
    d.tell("emptied", s.rows.length);
    if (all) d.put({ kind: "read" });
  },
  filed(d) {
    d.mark((d.e.ids ?? []).map((id) => d.row(id)).filter((i) => i >= 0).map((i) => {
      const r = d.s.rows[i]!;
      return { id: r.item.id, state: r.state, seq: r.seq, code: r.code, sentence: r.sentence, build: r.build, exported: true, again: false };
    }));
  },
  release(d) {
    d.mark((d.e.ids ?? []).filter((id) => { const i = d.row(id); return i >= 0 && d.s.rows[i]!.state === "set_aside" && d.s.rows[i]!.size <= limits.max_payload; }).map((id) => mark(id, "kept")));
  },
  tell_stuck: (d) => d.tell("stuck", d.s.unsaved.length),
  tell_no_day: (d) => d.tell("no_day"),
  tell_revoked: (d) => d.tell("revoked"),
  tell_not_ours: (d) => d.tell("not_ours"),
  tell_signed_out: (d) => d.tell("signed_out", waiting(d.s), d.s.why),
  tell_kept_back: (d) => d.tell("kept_back", keptBack(d.s) + ownUnsaved(d.s)),
};
delete actions.ask_sign_in;

const replies: Record<string, string[]> = { answered: ["sending"], packed: ["fetching"], summed: ["checking"] };
for (const k of ["no_answer", "not_ours", "sign_out", "other", "revoke", "too_long"]) replies[k] = ["sending", "fetching", "checking"];

// step takes one event and returns what is to be done, by the table.
export function step(s: Phone, e: Happening): Effect[] {
  s.wall = e.wall;
  s.mono = Math.max(s.mono, e.mono);
  const modes = replies[e.kind];
  if (modes && (e.no !== s.no || !modes.includes(s.mode))) e = { ...e, kind: "late" };
  const d = new Doing(s, e);
  d.lockIfDue();
  const cell = table[s.mode]![e.kind]!;
  for (const a of cell.do ?? []) actions[a]!(d);
  for (const w of cell.ways) {
    if (w.if && !guards[w.if]!(s)) continue;
    for (const a of w.do ?? []) actions[a]!(d);
    s.mode = w.to;
    break;
  }
  return d.out;
}

export const names = { guards: Object.keys(guards), actions: Object.keys(actions) };
