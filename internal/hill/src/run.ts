// The machine with its storage, network and clock: what happened goes in, what
// is to be done is carried out in order.
import { newPhone, step } from "./machine";
import { ask } from "./net";
import { Store, size, sumOf, uuid } from "./store";
import type { Answer, Effect, Happening, Item } from "./types";
import type { Pack, Stub } from "./pack";

declare const BUILD: string;

export class Runner {
  s = newPhone();
  store = new Store();
  pack: Pack | null = null;
  list: Stub[] = [];
  onchange: () => void = () => undefined;
  ontell: (say: string, count: number, sentence: string) => void = () => undefined;
  private queue: Promise<void> = Promise.resolve(); // storage, one after the other
  private days = new Map<number, unknown>();
  private timer = 0;
  private stored = new Map<string, { done: Promise<boolean>; tell: (ok: boolean) => void }>(); // items that storage works on

  async start(): Promise<void> {
    this.store.onclosed = () => this.happens({ kind: "closed" });
    this.store.onchanged = () => this.happens({ kind: "changed" });
    document.addEventListener("visibilitychange", () => { if (!document.hidden) { this.happens({ kind: "hint" }); this.arm(); } });
    addEventListener("online", () => this.happens({ kind: "hint" }));
    addEventListener("pageshow", (e) => { if ((e as PageTransitionEvent).persisted) this.happens({ kind: "changed" }); });
    await this.open();
  }

  private async open() {
    await this.read();
    if (this.s.mode === "empty") this.happens({ kind: "nudge" });
  }

  // happens gives the machine an event.
  happens(e: Partial<Happening> & { kind: string }): void {
    const effects = step(this.s, { wall: Date.now(), mono: Math.trunc(performance.now()), no: 0, ...e });
    for (const f of effects) this.do(f);
    this.onchange();
  }

  // record makes an item and returns whether storage has it.
  // The same id again, as from a glove that bounces, is the same item.
  async record(student: string, kind: string, payload: unknown, names = "", id = uuid()): Promise<boolean> {
    const under = this.stored.get(id);
    if (under) return under.done;
    let tell: (ok: boolean) => void = () => undefined;
    const done = new Promise<boolean>((t) => { tell = t; });
    this.stored.set(id, { done, tell });
    const item: Item = { id, author: this.s.meta.person, student, kind, version: 1, payload: JSON.stringify(payload), names, made_at: local(new Date()), sum: "" };
    item.sum = await sumOf(item);
    this.happens({ kind: "record", item, size: size(item.payload) });
    if (this.s.rows.some((r) => r.item.id === id)) this.say([id], true);
    else if (!this.s.unsaved.some((p) => p.item.id === id)) this.say([id], false);
    return done;
  }

  private say(ids: string[], ok: boolean) {
    for (const id of ids) { this.stored.get(id)?.tell(ok); this.stored.delete(id); }
  }

  private storing(work: () => Promise<void>): void {
    this.queue = this.queue.then(work).catch((err: unknown) => { console.warn("storage", err); });
  }

  private async read(): Promise<void> {
    try {
      if (!this.store["db" as keyof Store] || this.reopen) { await this.store.open(); this.reopen = false; }
      const snapshot = await this.store.read(tally());
      this.pack = await this.store.text<Pack>("pack");
      this.list = (await this.store.text<Stub[]>("list")) ?? [];
      this.happens({ kind: "loaded", snapshot });
    } catch (err) {
      console.warn("storage", err);
      this.reopen = true;
      this.happens({ kind: "unreadable" });
    }
  }
  private reopen = false;

  private do(f: Effect): void {
    const store = this.store;
    switch (f.kind) {
      case "read":
        if (this.s.mode === "opening") this.reopen = true;
        this.storing(() => this.read());
        break;
      case "put": this.storing(async () => {
        const ids = (f.items ?? []).map((p) => p.item.id);
        try {
          const rows = await store.put(f.epoch ?? 0, f.items ?? []);
          if (rows === "turned") { this.say(ids, false); this.happens({ kind: "not_stored", ids, why: "turned" }); return; }
          this.happens({ kind: "stored", rows });
          this.say(ids, true);
        } catch (err) {
          this.say(ids, false);
          this.happens({ kind: "not_stored", ids, why: (err as Error)?.name === "QuotaExceededError" ? "full" : "closed" });
        }
      }); break;
      case "write": this.storing(() => store.marks(f)); break;
      case "amend": this.storing(() => store.amend(f)); break;
      case "turn":
        this.pack = null; this.list = [];
        this.storing(async () => { if (!(await store.turn(f))) this.happens({ kind: "changed" }); });
        break;
      case "keep_pack": {
        const day = this.days.get(f.no ?? 0) as Pack;
        this.days.clear();
        this.pack = day;
        this.list = day.people.map((p) => ({ student: p.student, code: p.code, aids: p.aids, skills: p.skills, lesson: p.lesson }));
        this.storing(() => store.keepPack(f, day, this.list));
        break;
      }
      case "drop_pack":
        this.pack = null;
        if (f.all) this.list = [];
        this.storing(() => store.dropPack(!!f.all));
        break;
      case "wipe": this.storing(async () => {
        const ok = await store.wipe(f).catch(() => false);
        if (ok) { this.pack = null; this.list = []; }
        this.happens({ kind: ok ? "wiped" : "not_wiped" });
      }); break;
      case "send": case "fetch": case "check": void this.request(f); break;
      case "arm": this.arm(); break;
      case "tally": document.cookie = `firnhand_waiting=${f.count ?? 0}; path=/phone; max-age=31536000; samesite=strict`; break;
      case "tell": this.ontell(f.say ?? "", f.count ?? 0, f.sentence ?? ""); break;
    }
  }

  private arm(): void {
    clearTimeout(this.timer);
    if (document.hidden || this.s.mode !== "waiting") return; // nothing is asked for while nobody looks
    this.timer = window.setTimeout(() => this.happens({ kind: "tick" }), Math.max(0, this.s.retry_at - performance.now()) + 20);
  }

  private async request(f: Effect): Promise<void> {
    const items = (f.ids ?? []).map((id) => this.s.rows.find((r) => r.item.id === id)!.item);
    const { kind, answer } = await ask(this.store, f, this.s.meta.device, items, BUILD);
    if (answer?.day) this.days.set(f.no ?? 0, answer.day);
    this.happens({ kind, no: f.no ?? 0, answer: answer as Answer });
  }
}

// tally reads the note that is kept outside IndexedDB.
function tally(): number {
  const m = /(?:^|; )firnhand_waiting=(\d+)/.exec(document.cookie);
  return m ? Number(m[1]) : 0;
}

// local writes a time as RFC 3339 with the phone's own offset.
export function local(d: Date): string {
  const off = -d.getTimezoneOffset(), two = (n: number) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  return new Date(d.getTime() + off * 60000).toISOString().slice(0, 19) + (off < 0 ? "-" : "+") + two(off / 60) + ":" + two(off % 60);
}
